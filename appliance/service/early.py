"""The early picture: a screen opened and the kept picture put up, before anything heavy is imported.

The service is started with the first units of the system, so that Python and the kept picture are ready when the card
comes: then it waits a little for the kernel to find it and for udev to hand it over.
"""

import os
import time

from appliance.hardware.screens.base import CardClosed, NoConnector, ScreenTrouble
from appliance.service.first_light import NO_MARK, KeptPicture, put_up, read_kept, settings_mark

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import Any

    from appliance.hardware.screens.protocol import Screen

OWN_SETTINGS = "/etc/fieldmouse/fieldmouse.yaml"
_OWN_STATE = "/var/lib/fieldmouse"

STARTING = 120.0
"""Seconds of the monotonic clock, which begins with the kernel, while the system may still be starting."""
PATIENCE = 10.0
"""Seconds to wait for the card then; whatever else there is to say, the lamps say after that."""
_LOOK = 0.02  # s: a field, about


class Early:
    """A screen that already shows ``kept`` on ``surface``, since ``at`` seconds of the monotonic clock."""

    __slots__ = ("at", "kept", "screen", "surface")

    def __init__(self, screen: "Screen", kept: KeptPicture, surface: "Any") -> None:
        self.screen, self.kept, self.surface, self.at = screen, kept, surface, time.monotonic()

    def end_in_black(self) -> None:
        """Black with sync as the last picture, and the screen let go: the end came before the service took over."""
        line = self.kept.mode.modeline
        try:
            self._wait()
            black = bytes(4 * line.hdisplay * line.vdisplay)
            self.screen.flip(self.screen.surface(black, line.hdisplay, line.vdisplay))
            self._wait()
        except (ScreenTrouble, RuntimeError):  # gone, or taken over already: then there is nothing to put up
            pass
        self.screen.close()

    def _wait(self) -> None:
        """Until the flip under way has come, at most a moment."""
        end = time.monotonic() + 0.2
        while not self.screen.read(now := time.monotonic()) and now < end:
            time.sleep(0.002)


def end_on_signals() -> None:
    """Until the service has handlers of its own, SIGTERM and SIGINT unwind whatever is being imported, with code 0."""
    # The bare module: ``signal`` would import enum before the first picture.
    import _signal  # type: ignore[import-not-found]

    def end(number: int, frame: object) -> None:  # noqa: ARG001 - the signature of a handler
        raise SystemExit(0)

    for number in (_signal.SIGTERM, _signal.SIGINT):
        _signal.signal(number, end)


def state_folder(screen: str) -> str:
    """Where the box remembers: what systemd gives, the box's own folder, or the user's for a window or a memory."""
    given = os.environ.get("STATE_DIRECTORY")
    if given or screen == "kms":
        return given or _OWN_STATE
    base = os.environ.get("XDG_STATE_HOME") or os.path.join(os.path.expanduser("~"), ".local", "state")
    return os.path.join(base, "fieldmouse")


def early_picture(words: "list[str]") -> Early | None:
    """What ``run`` with these words shows at once; None when nothing fitting is kept or the words are unusual."""
    options = _peek(words)
    if options is None or (options["--screen"] not in ("kms", "memory")):
        return None
    mark = settings_mark(options["--settings"] or OWN_SETTINGS)
    if options["--settings"] and mark == NO_MARK:  # will be refused
        return None
    kept = read_kept(state_folder(options["--screen"]), mark)
    if kept is None or options["--format"] not in ("", kept.facts.get("format")):
        return None
    try:
        return _announced(_open_with(options["--screen"], kept))
    except ScreenTrouble:
        return None


def _open_with(name: str, kept: KeptPicture) -> Early:
    screen = when_there(lambda: _open(name, kept.facts.get("connector", "auto")))
    try:
        return Early(screen, kept, put_up(screen, kept))
    except ScreenTrouble:
        # Left open, it would be in its own way when the service opens it anew.
        screen.close()
        raise


def when_there(
    open_screen: "Callable[[], Screen]",
    clock: "Callable[[], float]" = time.monotonic,
    sleep: "Callable[[float], None]" = time.sleep,
) -> "Screen":
    """The screen; while the system starts, a missing or closed card is waited for. Raises ``ScreenTrouble``."""
    end = min(clock() + PATIENCE, STARTING)
    while True:
        try:
            return open_screen()
        except (NoConnector, CardClosed):
            if clock() >= end:
                raise
        sleep(_LOOK)


def _peek(words: "list[str]") -> "dict[str, str] | None":
    options = {"--screen": "kms", "--settings": "", "--format": "", "--for": ""}
    rest = [part for word in words for part in word.split("=", 1)]
    names, values = rest[::2], rest[1::2]
    if len(names) != len(values) or any(name not in options for name in names):
        return None
    options.update(zip(names, values, strict=True))
    return options if _is_time(options["--for"] or "1") else None


def _is_time(text: str) -> bool:
    try:
        return float(text) > 0
    except ValueError:
        return False


def _open(name: str, connector: str) -> "Screen":
    if name == "kms":
        from appliance.hardware.screens.kms import KmsScreen

        return KmsScreen(None if connector == "auto" else connector)
    from appliance.hardware.screens.memory import MemoryScreen

    return MemoryScreen(time.monotonic)


def _announced(early: Early) -> Early:
    from appliance.hardware.supervisor import READY, notify

    notify(READY)
    return early
