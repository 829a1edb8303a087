"""Flashes of what is really shown, field by field: counted after ITU-R BT.1702-3 and WCAG 2.2, SC 2.3.1.

A flash is a pair of opposing changes of a tenth of white or more whose darker state is below 0.8, or to and from a
saturated red (see ``flash_changes``). A change counts where more than a quarter of an area makes it together: in the
same field and the same way, up (or into red) or down (or out of it). So a pattern that turns itself inside out counts
once it covers more than half, and lines that move on, up here and down there, do not. More than three flashes, that
is more than six changes, in any second fail.

The area is the whole screen for BT.1702, and for WCAG any part a third as wide and as high as the screen: its 10°
of a viewer's field, by its own estimate of 341 × 256 of 1024 × 768 pixels. That is the strict reading for a
television set, which is mostly looked at from further away.
"""

from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from math import ceil
from typing import Annotated

import numpy as np
from numpy.typing import NDArray

from appliance.video.flash_cells import FieldLight, Words, field_light
from appliance.video.flash_changes import LightChanges, Places, RedChanges
from appliance.video.formats import Format
from appliance.video.sources import Source

AREA: Annotated[Fraction, Source("ITU-R BT.1702", "3 (2023)", "more than 25 % of the screen")] = Fraction(1, 4)
"""Share of an area above which changes in the same field count."""
CHANGES: Annotated[int, Source("WCAG", "2.2", "SC 2.3.1: three flashes in any one second")] = 6
"""Most changes in any second: three flashes."""
PROLONGED: Annotated[int, Source("ITU-R BT.1702", "3 (2023)", "flashing for more than five seconds is a risk")] = 5
"""Seconds above which even slower flashing is a risk. What is slower is ours: more than one flash a second."""

_ONE_FLASH = 2
_WINDOW = Fraction(1, 3)
_POSITIONS = 9
_KNOWN = 16
"""Fields whose light is kept, for frames that come again and again."""


@dataclass(frozen=True)
class FlashCount:
    """What a sequence came to. ``screen`` and ``part`` are the most changes in any second that count over the whole
    screen (BT.1702) and over some part of it (WCAG); ``red`` those of them that are changes to or from saturated red.
    ``places``: largest share of the screen whose every place by itself changed more than six times in a second,
    together with others or not, as under moving bars. ``prolonged``: seconds of the longest stretch with more than
    one flash in every second.
    """

    screen: int
    part: int
    red: int
    places: float
    prolonged: Fraction

    @property
    def fails(self) -> bool:
        """More than three flashes in some second."""
        return max(self.screen, self.part) > CHANGES

    @property
    def caution(self) -> bool:
        """Within the limits, but at the most they allow, or for more than five seconds, or each place for itself.

        The first and the last are ours, no source.
        """
        near = max(self.screen, self.part) == CHANGES or self.places > AREA
        return not self.fails and (near or self.prolonged > PROLONGED)


def count_flashes(fmt: Format, shown: Iterable[tuple[Words, int]]) -> FlashCount:
    """Count the flashes of frames ``uint32[lines, samples]``, each shown for a number of fields.

    The first frame is the state before anything changes. A still one costs no more for standing long, and one that
    comes again little; so no frame may be written to once it was handed in. Raises
    ``ValueError`` for a frame of the wrong size, for one shown for no field, and for no frame at all.
    """
    counter: _Counter | None = None
    for frame, fields in shown:
        if fields < 1:
            raise ValueError(f"a frame shown for {fields} fields: 1 or more are wanted")
        counter = counter or _Counter(fmt, frame)
        counter.show(frame, fields)
    if counter is None:
        raise ValueError("no frame to count flashes of")
    return counter.result()


class _Counter:
    """The changes of each place and the seconds they fall in, taken on from frame to frame."""

    def __init__(self, fmt: Format, first: Words) -> None:
        self._format, self._field, self._run, self._longest = fmt, 0, 0, 0
        start = field_light(fmt, first, 0)
        self._tube, self._monitor = LightChanges(start.tube), LightChanges(start.monitor)
        self._reds = RedChanges(start.guns)
        second = ceil(fmt.field_rate)  # so many fields begin within one second, the next one a second or more later
        self._screen, self._part, self._red, self._place = (_Second(second) for _ in range(4))
        self._places = 0.0
        self._known: deque[tuple[Words, int, FieldLight]] = deque(maxlen=_KNOWN)

    def show(self, frame: Words, fields: int) -> None:
        """Take ``frame`` on the screen for ``fields`` fields."""
        step = self._format.lines_per_row  # 2 interlaced: the two fields of a frame take turns
        turns = [self._light_of(frame, (self._field + turn) % step) for turn in range(step)]
        quiet, explicit = 0, min(fields, 2 * self._screen.fields + fields % step)
        for number in range(explicit):
            quiet = 0 if self._advance(turns[number % step]) else quiet + 1
            if quiet == step:  # nothing more can change while this frame stands
                self._pass_quiet(fields - number - 1)
                break
        else:
            self._note_run(fields - explicit)  # it goes on flashing as it has for the last second
        self._field += fields

    def _light_of(self, frame: Words, parity: int) -> FieldLight:
        """The light of a frame's field; what stood not long ago is known still."""
        for known in self._known:
            if known[0] is frame and known[1] == parity:
                return known[2]
        light = field_light(self._format, frame, parity)
        self._known.append((frame, parity, light))
        return light

    def result(self) -> FlashCount:
        """What has been counted so far."""
        most = self._screen.most, self._part.most, self._red.most
        return FlashCount(*most, self._places, self._longest * self._format.field_time)

    def _advance(self, light: FieldLight) -> bool:
        """Take one field; True if any place changed."""
        reds = self._reds.feed(light.guns)
        tube = [way | red for way, red in zip(self._tube.feed(light.tube), reds, strict=True)]
        monitor = [way | red for way, red in zip(self._monitor.feed(light.monitor), reds, strict=True)]
        self._screen.feed(_either(whole, tube))
        self._part.feed(_either(parts, monitor))
        self._red.feed(np.append(_either(parts, reds), _either(whole, reds)))
        anywhere = np.logical_or.reduce([*tube, *monitor])
        self._place.feed(anywhere.ravel())
        self._places = max(self._places, self._place.share_above(CHANGES))
        self._note_run(1)
        return bool(anywhere.any())

    def _pass_quiet(self, fields: int) -> None:
        for _ in range(min(fields, self._screen.fields)):
            for second in (self._screen, self._part, self._red, self._place):
                second.feed(None)
            self._note_run(1)

    def _note_run(self, fields: int) -> None:
        flashing = max(self._screen.now, self._part.now) > _ONE_FLASH
        self._run = self._run + fields if flashing else 0
        self._longest = max(self._longest, self._run)


class _Second:
    """The changes of the last second in each of several areas, and the most there were in any."""

    def __init__(self, fields: int) -> None:
        self.fields, self.most, self.now = fields, 0, 0
        self._changes: deque[Places | None] = deque()
        self._sum: NDArray[np.int_] | int = 0

    def feed(self, changed: Places | None) -> None:
        """Take one field: in which areas a change counted, None for nowhere."""
        self._changes.append(changed)
        self._add(changed, 1)
        gone = self._changes.popleft() if len(self._changes) > self.fields else None
        self._add(gone, -1)
        if changed is not None or gone is not None:
            self.now = int(np.max(self._sum))
        self.most = max(self.most, self.now)

    def share_above(self, changes: int) -> float:
        """Share of the areas with more than so many changes in the last second."""
        return float(np.mean(self._sum > changes))

    def _add(self, changed: Places | None, sign: int) -> None:
        if changed is not None:
            self._sum = self._sum + sign * changed.astype(int)


def _either(areas: Callable[[Places], Places], ways: Iterable[Places]) -> Places:
    """In which of ``areas`` one of the two ways of a change covers enough."""
    return np.logical_or(*(areas(way) for way in ways))


_SHARE = float(AREA)


def whole(changed: Places) -> Places:
    """``bool[1]``: whether more than a quarter of all places changed."""
    return np.array([np.count_nonzero(changed) > _SHARE * changed.size])


def parts(changed: Places) -> Places:
    """``bool[81]``: whether more than a quarter changed in each of nine by nine overlapping thirds of the screen."""
    top, left = (_starts(size) for size in changed.shape)
    high, wide = (_third(size) for size in changed.shape)
    if np.count_nonzero(changed) <= _SHARE * high * wide:
        return np.zeros(_POSITIONS**2, bool)  # too few even if they all lay together
    summed = np.zeros((changed.shape[0] + 1, changed.shape[1] + 1), int)
    changed.cumsum(axis=0, out=summed[1:, 1:])
    summed.cumsum(axis=1, out=summed)
    below, right = top + high, left + wide
    strips = summed[below] - summed[top]
    return np.asarray((strips[:, right] - strips[:, left]).ravel() > _SHARE * high * wide)


@cache
def _third(size: int) -> int:
    return round(size * _WINDOW)


@cache
def _starts(size: int) -> NDArray[np.int_]:
    return np.linspace(0, size - _third(size), _POSITIONS).round().astype(int)
