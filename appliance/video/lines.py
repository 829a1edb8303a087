"""Where a point of the frame lies: in microseconds after 0H, in percent of the picture, in TV lines.

Positions are continuous: ``x`` runs from 0 at the left edge of the first sample to 720 at the right edge of the
last, so that sample ``n`` covers ``n … n+1`` and its instant is at ``n + ½``; ``y`` runs likewise over the rows of
the frame. Percent are of the exact analogue active picture: 710.85 samples of 52.6556 µs (525) or 702 of 52 µs
(625), and 486 or 576 lines, with the frame's 720 samples and its rows centred on it. So the left edge of a frame is
a little below 0 %, and the top of a 525-line one a little above.
"""

from fractions import Fraction
from typing import Annotated

from appliance.video.formats import SAMPLE_RATE, SAMPLES, Format
from appliance.video.levels import Exact
from appliance.video.sources import Source

PICTURE_ASPECT: Annotated[
    Fraction, Source("ITU-R BT.470", "5 (1998)", "aspect ratio of the displayed picture: 4/3")
] = Fraction(4, 3)
"""Width over height of the analogue active picture."""

_PER_MICROSECOND = Fraction(SAMPLE_RATE, 1_000_000)


def microseconds(fmt: Format, x: Exact) -> Fraction:
    """Microseconds from 0H, the half-amplitude point of the leading edge of sync, to position ``x``."""
    return (fmt.line_system.digital_start + x - Fraction(1, 2)) / _PER_MICROSECOND


def across_at(fmt: Format, us: Exact) -> Fraction:
    """Position ``x`` that comes ``us`` microseconds after 0H."""
    return us * _PER_MICROSECOND - fmt.line_system.digital_start + Fraction(1, 2)


def percent_across(fmt: Format, x: Exact) -> Fraction:
    """Percent of the picture's width left of position ``x``."""
    return 50 + 100 * (x - Fraction(SAMPLES, 2)) / fmt.line_system.active_samples


def across(fmt: Format, percent: Exact) -> Fraction:
    """Position ``x`` with ``percent`` of the picture's width left of it."""
    return Fraction(SAMPLES, 2) + (percent - 50) * fmt.line_system.active_samples / 100


def percent_down(fmt: Format, y: Exact) -> Fraction:
    """Percent of the picture's height above position ``y``."""
    return 50 + 100 * (y - Fraction(fmt.lines, 2)) / fmt.picture_lines


def down(fmt: Format, percent: Exact) -> Fraction:
    """Position ``y`` with ``percent`` of the picture's height above it."""
    return Fraction(fmt.lines, 2) + (percent - 50) * fmt.picture_lines / 100


def tv_lines(fmt: Format, hertz: Exact) -> Fraction:
    """TV lines per picture height of a frequency: light and dark bars, both counted, in a width equal to the height."""
    return 2 * hertz * fmt.line_system.active_time / PICTURE_ASPECT


def frequency(fmt: Format, lines: Exact) -> Fraction:
    """Hz of so many TV lines per picture height."""
    return lines * PICTURE_ASPECT / (2 * fmt.line_system.active_time)
