"""The nine zones of the screen: ninths of the picture, numbered as one reads, 1 at the top left, 9 at the bottom right.

Which pad key stands for which zone is a matter of the settings: a 12-key pad has 1 at its top left, a USB number pad
at its bottom left.
"""

from dataclasses import dataclass
from fractions import Fraction

from appliance.errors import Refused
from appliance.video.formats import Format
from appliance.video.levels import Exact
from appliance.video.lines import across, down, percent_across, percent_down

ZONES = range(1, 10)
"""Their numbers."""

_THIRDS = (Fraction(100, 3), Fraction(200, 3))


@dataclass(frozen=True)
class Rectangle:
    """A part of the frame by positions (see ``lines``): left and top are in it, right and bottom no longer."""

    left: Fraction
    top: Fraction
    right: Fraction
    bottom: Fraction

    @property
    def centre(self) -> tuple[Fraction, Fraction]:
        """``x, y`` of its middle."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2


def zone(fmt: Format, number: int) -> Rectangle:
    """Zone ``number`` of the frame; raises :class:`Refused` for a number that is not 1 to 9.

    The zones meet at thirds of the analogue picture; the outer ones end with the frame, so all nine cover it exactly.
    """
    if number not in ZONES:
        raise Refused(f"zone {number}: there are 1 to 9, 1 at the top left")
    row, column = divmod(number - 1, 3)
    xs = (Fraction(0), *(across(fmt, third) for third in _THIRDS), Fraction(fmt.samples))
    ys = (Fraction(0), *(down(fmt, third) for third in _THIRDS), Fraction(fmt.lines))
    return Rectangle(xs[column], ys[row], xs[column + 1], ys[row + 1])


def zone_at(fmt: Format, x: Exact, y: Exact) -> int:
    """Number of the zone that holds position ``x, y``; beyond the frame, the nearest one's."""
    column = sum(percent_across(fmt, x) >= third for third in _THIRDS)
    row = sum(percent_down(fmt, y) >= third for third in _THIRDS)
    return 3 * row + column + 1
