"""What the screen really shows while somebody hammers the keys: the box, its pacer and its painter, field by field."""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import cycle

from appliance.activities.box import Box, Place, Times
from appliance.activities.pace import Pacer
from appliance.patterns.catalogue import catalogue, find_pattern
from appliance.patterns.picture import Frame
from appliance.presses.press import Kind, Press
from appliance.service.painter import Painter
from appliance.service.views import View, view_of
from appliance.settings.tree import Choice
from appliance.video.formats import Format, find_format

_KEPT = 16
"""Painted frames that are kept."""

THUMB_FIELDS = 3
"""Fields between presses of the quickest thumb: some 20 presses a second (ours, no source)."""

Step = tuple[View, int]
"""A view, and the field of its movement, 0 while it stands."""


class Hammering:
    """A box at ``name`` (``key:variant``) in a format, and a thumb that presses ``keys`` in turn, such
    as ``forward`` or ``vary held``.

    ``patient``: it presses just when the pacer lets the next picture through, which is when every press counts, and
    at once in a bright test; else every three fields, which is worst for words that come and go.
    """

    def __init__(self, format_name: str, name: str, keys: Sequence[str], *, patient: bool) -> None:
        self.format = find_format(format_name)
        entry, variant = find_pattern(name)
        self._choice = Choice(self.format.name, self.format.systems[0])
        self._box = Box(list(catalogue().values()), [self._choice], Times(), Place(self._choice, entry.key, variant), 0)
        self._box.begin(0.0)
        self._pacer, self._keys, self._patient, self._now = Pacer(), cycle(keys), patient, 0.0

    def views(self, seconds: float) -> Iterator[Step]:
        """What is up in each field."""
        up, begun = self._let_through(None), 0
        for field in range(round(seconds * self.format.field_rate)):
            self._now = field * float(self.format.field_time)
            self._box.shown(up.pattern, self._now)
            self._box.tick(self._now)
            if self._now >= 0.5 and self._presses(field):
                self._press(next(self._keys))
            before, up = up, self._let_through(up)
            begun = begun if before.moving and up.moving else field
            yield up, field - begun if up.moving else 0

    def _presses(self, field: int) -> bool:
        if not self._patient:
            return field % THUMB_FIELDS == 0
        return self._box.loaded or self._pacer.ready(object(), self._now) <= self._now

    def _press(self, key: str) -> None:
        name, _, held = key.partition(" ")
        if not self._box.press(Press(Kind.TOUCH, name, self._now)):
            self._box.press(Press(Kind.HELD if held else Kind.SHORT, name, self._now))

    def _let_through(self, up: View | None) -> View:
        wanted, urgent = view_of(self._box.showing(), self._choice), self._box.urgent
        if up and self._pacer.ready(wanted.picture, self._now, urgent=urgent) > self._now:
            return up
        self._pacer.passed(wanted.picture, self._now, urgent=urgent)
        return wanted


def frames(fmt: Format, steps: Iterator[Step], painter: Painter) -> Iterator[tuple[Frame, int]]:
    """The frames of ``steps`` as they are painted, words and all, and for how many fields each stands.

    What comes again is painted once: the same frame is handed on.
    """
    paint = lru_cache(_KEPT)(painter.frame)
    last: tuple[object, Frame, int] | None = None
    for view, field in steps:
        picture = painter.picture(view.choice.format, view.pattern, view.variant)
        seen = (view, picture.index(field), picture.at(field))
        if last and last[0] == seen:
            last = (seen, last[1], last[2] + 1)
            continue
        if last:
            yield last[1:]
        moved = picture.field(field, fmt.lines, fmt.samples) if view.moving else paint(view, field)
        last = (seen, moved, 1)
    if last:
        yield last[1:]
