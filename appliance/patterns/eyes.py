"""What a picture asks of eyes: flashes counted over its time, stripes over its area, and a verdict on both.

Flashes after ITU-R BT.1702-3 and WCAG 2.2 (:mod:`appliance.video.flash`), stripes after BT.1702-3
(:mod:`appliance.video.stripes`). "Caution" means within the limits, but near one, for long, or place by place.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from appliance.patterns.picture import Frame, Picture
from appliance.video.flash import FlashCount, count_flashes
from appliance.video.formats import Format
from appliance.video.stripes import MOVING, STANDING, Stripes, find_stripes

WITHIN, CAUTION, FAILS = "within limits", "caution", "fails"
NEAR = Fraction(4, 5)
"""Share of the limit on stripes from which on they are called near it (ours, no source)."""
LONG = Fraction(32, 5)
"""Seconds looked at of a picture that moves at one pace: past the five after which flashing counts as prolonged."""


@dataclass(frozen=True)
class Strain:
    """``flashes``: what was counted; ``stripes``: share of the screen under even stripes, at the worst."""

    flashes: FlashCount
    stripes: float
    moving: bool

    @property
    def verdict(self) -> str:
        """Fails where flashes or stripes pass their limits, caution near them."""
        limit = MOVING if self.moving else STANDING
        if self.flashes.fails or self.stripes > limit:
            return FAILS
        return CAUTION if self.flashes.caution or self.stripes > limit * NEAR else WITHIN


def strain(fmt: Format, picture: Picture) -> Strain:
    """Of a whole picture as it is shown: moving for as long as it takes to know, or standing, its fields in turn."""
    moving = picture.way is not None or picture.turns is not None
    seen = [picture.field(0, fmt.lines, fmt.samples)] if picture.turns is None else list(picture.frames)
    stripes = max(stripes_of(fmt, frame).balanced for frame in seen)
    return Strain(count_flashes(fmt, shown(fmt, picture)), stripes, moving)


def stripes_of(fmt: Format, frame: Frame) -> Stripes:
    """As :func:`find_stripes`; a flat frame, which has none, is seen at once."""
    return Stripes(0.0, 0.0) if (frame == frame[0, 0]).all() else find_stripes(fmt, frame)


def shown(fmt: Format, picture: Picture) -> Iterator[tuple[Frame, int]]:
    """Frames and for how many fields each: a standing one a second, turns twice over, a steady pace a second first.

    A steady pace changes as much in any second; only when that second has flashes at all is it looked at for longer.
    """
    second = round(fmt.field_rate)
    if picture.turns is not None:
        yield from ((picture.frames[index], fields) for _ in range(2) for index, fields in picture.turns.shown)
    elif picture.way is None:
        yield picture.frame, second
    else:
        brief = list(_steady(fmt, picture, second + 4))
        found = count_flashes(fmt, brief)
        yield from _steady(fmt, picture, round(LONG * second)) if max(found.screen, found.part) else brief


def _steady(fmt: Format, picture: Picture, fields: int) -> Iterator[tuple[Frame, int]]:
    return ((picture.field(field, fmt.lines, fmt.samples), 1) for field in range(fields))
