"""The composite connector of the Raspberry Pi, driven through the kernel's mode setting by ioctls alone.

Nothing is imported that the first picture would have to wait for.
"""

from __future__ import annotations

import errno
import os
from time import monotonic

from appliance.errors import Refused
from appliance.hardware.screens import drm, uapi
from appliance.hardware.screens.base import CardBusy, Flip, ModeRefused, ScreenTrouble
from appliance.hardware.screens.buffers import Buffers
from appliance.hardware.screens.connectors import find_connector
from appliance.hardware.screens.modeset import Route, set_atomic, set_legacy
from appliance.video.bounds import check_bounds

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable
    from types import TracebackType
    from typing import Any, NamedTuple

    from appliance.hardware.screens.buffers import Surface
    from appliance.video.modeline import Mode

    class _Shown(NamedTuple):
        surface: Surface
        frame: int
else:
    from collections import namedtuple

    _Shown = namedtuple("_Shown", "surface frame")

PATIENCE = 2.0
"""Seconds after which a flip that never came means a lost screen: a hundred fields and more."""

_BUSY_TRIES, _BUSY_WAIT = 3, 0.02  # a field each: what may still be under way in the kernel is over by then
_LOST = (errno.EACCES, errno.EPERM)
_GONE = (errno.ENODEV, errno.ENXIO, errno.EBADF, errno.EIO)


class KmsScreen:
    """The protocol Screen on a composite connector, or on the one called ``connector`` (``Composite-1``).

    Opening takes the card for us alone until :meth:`close`; it raises ``NoConnector`` or ``CardBusy``. A card that
    was busy has to be opened anew, by a new ``KmsScreen``.

    Flips go by the kernel's page-flip call rather than by an atomic commit: on an atomic driver it is one, carrying
    the framebuffer alone, so nothing else can be refused in the middle of a movement; and it is the same call on the
    path without atomic commits.
    """

    name = "kms"

    def __init__(
        self,
        connector: str | None = None,
        folder: str = "/dev/dri",
        *,
        clock: Callable[[], float] = monotonic,
        system: drm.System = drm.LINUX,
    ) -> None:
        found = find_connector(system, folder, connector)
        self._card, self._clock = found.card, clock
        self._buffers = Buffers(self._card)
        self._mode: Mode | None = None
        self._up: _Shown | None = None
        self._pending: _Shown | None = None
        self._since, self._token = 0.0, 0
        try:
            with self._watch("read"):
                self._route = Route(found)
                self._monotonic = bool(self._card.call(uapi.GET_CAP, capability=uapi.CAP_TIMESTAMP_MONOTONIC)["value"])
        except ScreenTrouble:
            self.close()
            raise

    @property
    def connector(self) -> str:
        """The kernel's name of the connector, with its card: ``card0 Composite-1``."""
        return f"{os.path.basename(self._card.path)} {self._route.name}"  # noqa: PTH119 - pathlib is heavy

    @property
    def atomic(self) -> bool:
        """Whether the card takes mode, colour system and picture in one commit."""
        return bool(self._route.plane)

    def surface(self, rows: Any, samples: int, lines: int) -> Surface:
        """A copy of ``rows`` in the card's memory; raises ``ValueError`` for a wrong size, ``ScreenTrouble``."""
        with self._watch("give memory for a picture"):
            return self._buffers.take(rows, samples, lines)

    def free(self, surface: Surface) -> None:
        """Give the surface back; raises ``RuntimeError`` for one on the screen, under way to it, or freed before."""
        if any(shown and shown.surface is surface for shown in (self._up, self._pending)):
            raise RuntimeError("the surface freed is on the screen or under way to it")
        with self._watch("take back a picture's memory"):
            self._buffers.give(surface)

    def start(self, mode: Mode, surface: Surface, at: tuple[int, int] = (0, 0)) -> None:
        """Set mode, colour system and picture together.

        Raises ``ModeRefused`` naming the encoder's bound that is broken or the kernel's error, ``ScreenTrouble`` when
        the screen is lost. What was up before stays up then, wherever the kernel lets it.
        """
        try:
            check_bounds(mode)
        except Refused as refused:
            raise ModeRefused(str(refused)) from refused
        self._route.tv(mode)
        with self._watch("set the mode"):
            frame = self._frame(mode, surface, at)
            flipped = self._set(mode, frame)
            self._mode, self._up = mode, _Shown(surface, frame)
            self._await(self._up)
            if not flipped:
                self._request(frame)
            self._buffers.forget_other_sizes(mode.modeline.hdisplay, mode.modeline.vdisplay)

    def flip(self, surface: Surface, at: tuple[int, int] = (0, 0)) -> None:
        """Show the window at the next field; ``RuntimeError`` when one is under way or nothing was started."""
        if self._pending:
            raise RuntimeError("a flip is under way already")
        if self._mode is None:
            raise RuntimeError("no mode was started yet")
        with self._watch("flip"):
            shown = _Shown(surface, self._frame(self._mode, surface, at))
            self._token += 1
            self._request(shown.frame)
            self._pending, self._since = shown, self._clock()

    def fileno(self) -> int | None:
        """The card, while a flip is under way."""
        return self._card.fd if self._pending else None

    def due(self) -> float | None:
        """When a flip under way has to have come at the latest."""
        return self._since + PATIENCE if self._pending else None

    def read(self, now: float) -> list[Flip]:
        """The flip that came, if it did; raises ``ScreenTrouble`` when one is overdue or the card is lost."""
        with self._watch("tell of flips"):
            flips = [flip for flip in map(self._flip, self._events()) if flip]
        if flips:
            self._up, self._pending = self._pending, None
        elif self._pending and now >= self._since + PATIENCE:
            raise ScreenTrouble(f"{self._card.path}: a flip asked {now - self._since:.1f} s ago never came")
        return flips

    def close(self) -> None:
        """Give the card back: unmap, let go of its mastery, close."""
        self._buffers.close()
        try:  # noqa: SIM105 - contextlib is heavy
            self._card.call(uapi.DROP_MASTER)
        except OSError:  # it went away, or was taken from us
            pass
        self._card.close()
        self._mode = self._up = self._pending = None

    def _set(self, mode: Mode, frame: int) -> bool:
        """Set the mode; whether a flip event comes by itself."""
        refusal = "no atomic commits"
        if self.atomic:
            try:
                set_atomic(self._route, mode, frame, self._token + 1)
            except OSError as error:
                if error.errno in _LOST + _GONE:
                    raise
                refusal = _words(error)
            else:
                return True
        self._set_legacy(mode, frame, refusal)
        return False

    def _set_legacy(self, mode: Mode, frame: int, refusal: str) -> None:
        try:
            set_legacy(self._route, mode, frame)
        except OSError as error:
            if error.errno in _LOST + _GONE:
                raise
            self._restore()
            what = f"modeline {mode.modeline.text()} with TV mode {mode.tv_mode}"
            raise ModeRefused(f"{what}: refused by the kernel (atomic: {refusal}; legacy: {_words(error)})") from error

    def _restore(self) -> None:
        """Put back what was up before: a screen gone dark is worse than a mode refused."""
        self._pending = None
        if self._mode and self._up:
            try:  # noqa: SIM105 - contextlib is heavy
                set_legacy(self._route, self._mode, self._up.frame)
            except OSError:  # the refusal being told says enough
                pass

    def _frame(self, mode: Mode, surface: Surface, at: tuple[int, int]) -> int:
        return self._buffers.frame(surface, at, mode.modeline.hdisplay, mode.modeline.vdisplay, self._held())

    def _held(self) -> set[int]:
        return {shown.frame for shown in (self._up, self._pending) if shown}

    def _await(self, shown: _Shown) -> None:
        """From here on only the event of this flip counts; those of earlier ones are passed over."""
        self._token += 1
        self._pending, self._since = shown, self._clock()

    def _request(self, frame: int) -> None:
        """Ask for a flip. Busy means that the kernel has not quite done with the one before: wait, ask again."""
        for left in reversed(range(_BUSY_TRIES)):
            try:
                self._card.call(
                    uapi.PAGE_FLIP,
                    crtc_id=self._route.crtc,
                    fb_id=frame,
                    flags=uapi.PAGE_FLIP_EVENT,
                    user_data=self._token,
                )
                return
            except OSError as error:
                if error.errno != errno.EBUSY or not left:
                    raise
            self._card.system.wait(self._card.fd, _BUSY_WAIT)
            self._events()  # of earlier flips, all of them

    def _events(self) -> list[dict[str, Any]]:
        try:
            data = self._card.system.read(self._card.fd, 4096)
        except BlockingIOError:
            return []
        events, start = [], 0
        while start < len(data):
            head = uapi.EVENT_HEAD.unpack(data[start : start + uapi.EVENT_HEAD.size])
            if head["type"] == uapi.EVENT_FLIP_COMPLETE:
                events.append(uapi.EVENT.unpack(data[start : start + uapi.EVENT.size]))
            start += head["length"]
        return events

    def _flip(self, event: dict[str, Any]) -> Flip | None:
        if self._pending is None or event["user_data"] != self._token:
            return None
        stamp = event["tv_sec"] + event["tv_usec"] / 1e6
        return Flip(stamp if self._monotonic else self._clock(), event["sequence"])

    def _watch(self, what: str) -> _Watch:
        return _Watch(self._card.path, what)


class _Watch:
    """Turns the kernel's errors within it into ``ScreenTrouble``."""

    def __init__(self, path: str, what: str) -> None:
        self._path, self._what = path, what

    def __enter__(self) -> None:
        pass

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, _: TracebackType | None) -> None:
        if not isinstance(error, OSError):
            return
        if error.errno in _LOST:
            raise CardBusy(f"{self._path}: another program took the screen over ({_words(error)})") from error
        if error.errno in _GONE:
            raise ScreenTrouble(f"{self._path}: the card went away ({_words(error)})") from error
        raise ScreenTrouble(f"{self._path}: the card cannot {self._what} ({_words(error)})") from error


def _words(error: OSError) -> str:
    return f"{errno.errorcode.get(error.errno or 0, error.errno)}: {error.strerror}"
