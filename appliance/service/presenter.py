"""Puts views on a screen: one flip at a time, a field apart when something moves, missed fields counted.

What is wanted may change at any time; the presenter flips to the newest wish as soon as the screen is free. Surfaces
drawn lately or ahead are kept, so that black or the next purity field goes up without drawing.
"""

import logging
from typing import Any

from appliance.activities.showing import BLACK
from appliance.hardware.screens.base import Flip, ModeRefused, ScreenTrouble
from appliance.hardware.screens.protocol import Screen
from appliance.patterns.picture import Picture
from appliance.service.painter import Painter, PictureFailed
from appliance.service.views import View
from appliance.service.waiter import Waiter
from appliance.video.fields import FieldCount
from appliance.video.formats import find_format, find_mode
from appliance.video.modeline import Mode

log = logging.getLogger(__name__)

KEPT_SURFACES = 5
FLIP_LATE = 1.0
"""Seconds after which a flip that has not come is taken for lost."""

MOST_LOST = 3
"""Flips lost in a row after which the screen is taken for lost, and opened anew."""

_Key = tuple[View, int]


class Presenter:
    """One screen and what is on it. ``every_field`` False puts a moving picture up once, and moves nothing."""

    def __init__(self, screen: Screen, painter: Painter, *, every_field: bool = True) -> None:
        self.screen, self._painter, self._every_field = screen, painter, every_field
        self.up: View | None = None
        self.missed = 0
        self._wanted: View | None = None
        self._flying: View | None = None
        self._asked_at, self._lost = 0.0, 0
        self._mode: Mode | None = None
        self._surfaces: dict[_Key, Any] = {}
        self._failed: set[tuple[str, str, str]] = set()
        self._up_key: _Key | None = None
        self._flying_key: _Key | None = None
        self._field = self._base = 0
        self._count: FieldCount | None = None

    def adopt(self, mode: Mode, view: View, surface: Any, now: float) -> None:
        """Take over a screen on which ``view`` was started with ``surface`` at ``now``."""
        self._mode, self._asked_at = mode, now
        self._flying = self._wanted = view
        self._flying_key = self._key(view, 0)
        self._surfaces[self._flying_key] = surface

    def want(self, view: View, now: float) -> None:
        """Put up ``view`` as soon as the screen is free; raises ``ScreenTrouble``."""
        if view == self._wanted:
            return
        if self._wanted and _place(view) != _place(self._wanted):
            self._field = 0
        self._wanted = view
        self._pump(now)

    def prepare(self, view: View) -> None:
        """Draw ``view`` and hand it to the screen now, to be put up later without delay."""
        if self._flying is None and self.up is not None and view.choice == self.up.choice:
            self._surface(view, 0)

    def read(self, now: float) -> list[tuple[View, Flip]]:
        """The views that went up since, each with its flip; raises ``ScreenTrouble``, also for a flip that is lost."""
        shown = []
        for flip in self.screen.read(now):
            if self._flying is not None:
                shown.append((self._flying, flip))
                self._landed(flip)
        if self._flying is not None and now >= self._asked_at + FLIP_LATE:
            self._lost_flip()
        self._pump(now)
        return shown

    def _lost_flip(self) -> None:
        self._lost += 1
        if self._lost == 1:
            log.warning("%s: a flip asked for %.1f s ago has not come; asking anew", self.screen.name, FLIP_LATE)
        if self._lost >= MOST_LOST:
            raise ScreenTrouble(f"{self.screen.name}: {self._lost} flips in a row have not come")
        self._flying = self._mode = None

    @property
    def moving(self) -> bool:
        """True while a picture moves, or is asked to."""
        return self._wanted is not None and self._wanted.moving

    @property
    def picture_failed(self) -> bool:
        """True while a pattern is wanted that cannot be drawn: words stand in its place."""
        return self._wanted is not None and _place(self._wanted) in self._failed

    @property
    def lit(self) -> bool | None:
        """Whether the lamp that goes with the picture on the screen is lit; None when none does."""
        picture = self._picture(self.up) if self.up else None
        return picture.lit(self._field) if picture else None

    def end_in_black(self, waiter: Waiter) -> None:
        """Black with sync as the last picture; waits for its field, at most a moment."""
        if self.up is None:
            return
        black, end = View(self.up.choice, *BLACK), waiter.clock() + FLIP_LATE
        self.want(black, waiter.clock())
        while self.up != black and (now := waiter.clock()) < end:
            file = self.screen.fileno()
            waiter.wait([] if file is None else [file], min(end, self.due() or end))
            self.read(max(now, waiter.clock()))

    def due(self) -> float | None:
        """When :meth:`read` is wanted at the latest."""
        late = self._asked_at + FLIP_LATE if self._flying else None
        return min((due for due in (self.screen.due(), late) if due is not None), default=None)

    def _landed(self, flip: Flip) -> None:
        view, self._flying, self._lost = self._flying, None, 0
        if view and view.moving and self._every_field:
            if self._count is None:
                self._count, self._base = FieldCount(find_format(view.choice.format)), self._field
            self._field = self._base + self._count.feed(flip.stamp)
        self._end_movement(self.up, view)
        self.up, self._up_key, self._flying_key = view, self._flying_key, None

    def _end_movement(self, before: View | None, view: View | None) -> None:
        if before and before.moving and view != before and self._count:
            self.missed += self._count.missed
            log.info(
                "%s:%s moved for %d fields, %d missed",
                before.pattern, before.variant, self._count.number, self._count.missed,
            )  # fmt: skip
            self._count = None

    def _pump(self, now: float) -> None:
        view = self._wanted
        stands = view == self.up and self._mode and not (view and view.moving and self._every_field)
        if view is None or self._flying is not None or stands:
            return
        mode = find_mode(find_format(view.choice.format), view.choice.system)
        field = self._field + 1 if view.moving and self._count and view == self.up else self._field
        surface, picture = self._surface(view, field), self._picture(view)
        at = picture.at(field) if picture else (0, 0)
        self._flying, self._flying_key, self._asked_at = view, self._key(view, field), now
        if mode == self._mode:
            self.screen.flip(surface, at)
        else:
            self._start(mode, surface, at)

    def _start(self, mode: Mode, surface: Any, at: tuple[int, int]) -> None:
        try:
            self.screen.start(mode, surface, at)
        except ModeRefused:
            # What was up is still up: another view may be wanted instead.
            self._flying = self._flying_key = self._wanted = None
            raise
        self._mode, self._count = mode, None

    def _picture(self, view: View) -> Picture | None:
        """The picture behind a moving view; None for a still one, and when it cannot be drawn."""
        if not view.moving or _place(view) in self._failed:
            return None
        try:
            return self._painter.motion(*_place(view))
        except Exception:  # told, with its trace, when its frame is asked for
            return None

    def _surface(self, view: View, field: int) -> Any:
        key = self._key(view, field)
        if key not in self._surfaces:
            self._surfaces[key] = self._handed_over(view, field)
        # The newest use goes last: the oldest are freed first.
        self._surfaces[key] = self._surfaces.pop(key)
        return self._surfaces[key]

    def _handed_over(self, view: View, field: int) -> Any:
        """Drawn and given to the screen. Out of memory, all that is spare is let go, and words stand in its place."""
        try:
            frame = self._draw(view, field)
            # Every frame of a picture that takes turns is kept, or each field would cost a copy.
            picture = self._picture(view)
            turns = len(picture.more) if picture else 0
            self._free_beyond(KEPT_SURFACES - 1 + turns)
            surface = self._given(frame)
            if not turns and not (view.caption or view.left):
                # The screen has its own copy. What is laid over a picture comes and goes, so with words it is held.
                self._painter.forget()
            return surface
        except MemoryError:
            log.exception("no memory for %s:%s", view.pattern, view.variant)
            self._free_beyond(0)
            self._painter.forget()
            self._failed.add(_place(view))
        try:
            return self._given(self._words(view))
        except MemoryError as error:
            raise ScreenTrouble(f"{self.screen.name}: no memory for any picture; end other programs") from error

    def _given(self, frame: Any) -> Any:
        return self.screen.surface(frame, frame.shape[1], frame.shape[0])

    def _words(self, view: View) -> Any:
        return self._painter.plain(view, (view.pattern, "cannot be drawn · forward"))

    def _draw(self, view: View, field: int) -> Any:
        try:
            frame = self._painter.frame(view, field)
            self._failed.discard(_place(view))
            return frame
        except PictureFailed:
            self._failed.add(_place(view))
            return self._words(view)

    def _free_beyond(self, count: int) -> None:
        spare = [key for key in self._surfaces if key not in (self._up_key, self._flying_key)]
        for key in spare[: max(0, len(self._surfaces) - count)]:
            self.screen.free(self._surfaces.pop(key))

    def _key(self, view: View, field: int) -> _Key:
        # A mode's system does not change the samples. A still view depends on the field it stands in, a moving one on
        # the frame whose turn it is.
        picture = self._picture(view)
        turn = picture.index(field) if picture else 0 if view.moving else field
        return view._replace(choice=view.choice._replace(system="")), turn


def _place(view: View) -> tuple[str, str, str]:
    """What is drawn for a view, whatever is laid over it: format, pattern, variant."""
    return view.choice.format, view.pattern, view.variant
