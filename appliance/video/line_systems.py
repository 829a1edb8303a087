"""525- and 625-line television: the numbers that every picture of each shares, with the source beside each."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from appliance.video.sources import Source

_BT601 = ("ITU-R BT.601", "7 (2011)")
_BT470 = ("ITU-R BT.470", "5 (1998)")

SAMPLE_RATE: Annotated[int, Source(*_BT601, "4:2:2 parameters: sampling frequency, luminance")] = 13_500_000
"""Luminance samples a second, both line systems."""

SAMPLES: Annotated[int, Source(*_BT601, "4:2:2 parameters: samples per digital active line, luminance")] = 720
"""Samples of the digital active line, both line systems."""

LINE_SAMPLES_525: Annotated[int, Source(*_BT601, "4:2:2 parameters: samples per total line, 60 Hz")] = 858
LINE_SAMPLES_625: Annotated[int, Source(*_BT601, "4:2:2 parameters: samples per total line, 50 Hz")] = 864

DIGITAL_START_525: Annotated[int, Source(*_BT601, "4:2:2 parameters: timing against 0H, 60 Hz")] = 122
"""Sampling periods from 0H, the half-amplitude point of the leading edge of sync, to the first sample's instant."""
DIGITAL_START_625: Annotated[int, Source(*_BT601, "4:2:2 parameters: timing against 0H, 50 Hz")] = 132
"""As above, 625 lines."""

BLANKING_525: Annotated[Fraction, Source("SMPTE 170M", "2004", "horizontal blanking, 10.9 ±0.2 µs")] = Fraction(
    109, 10**7
)
"""Seconds of line blanking. What is left of the 572/9 µs is the active picture: 4739/90 µs."""
BLANKING_625: Annotated[Fraction, Source(*_BT470, "line blanking, 12 ±0.3 µs")] = Fraction(12, 10**6)
"""As above, 625 lines; 52 µs are left."""

PICTURE_LINES_525: Annotated[int, Source("SMPTE 170M", "2004", "active lines of a frame: 486")] = 486
PICTURE_LINES_625: Annotated[int, Source(*_BT601, "lines of a frame as coded, 50 Hz")] = 576
"""575 with two half lines (ITU-R BT.470); 576 as coded."""

LINES_PER_FRAME_525: Annotated[int, Source(*_BT470, "lines per picture, M: 525")] = 525
LINES_PER_FRAME_625: Annotated[int, Source(*_BT470, "lines per picture, B/G: 625")] = 625

PULSE_525: Annotated[Fraction, Source("ITU-T J.61", "1990", "sine-squared pulse, M: T = 125 ns", memory=True)] = (
    Fraction(125, 10**9)
)
"""Seconds of T, half the shortest half-amplitude width (2T) that the channel passes whole."""
PULSE_625: Annotated[Fraction, Source("ITU-T J.61", "1990", "sine-squared pulse, 625: T = 100 ns", memory=True)] = (
    Fraction(100, 10**9)
)
"""As above, 625 lines."""


@dataclass(frozen=True)
class LineSystem:
    """What 525- and 625-line television each fix for every picture; each number's source stands at its constant.

    ``line_samples`` of a whole line, ``digital_start`` sampling periods from 0H to sample 0, ``blanking`` of a line
    in seconds, ``picture_lines`` of a frame outside field blanking, ``pulse``: seconds of the T of the sine-squared
    pulse.
    """

    name: str
    line_samples: int
    digital_start: int
    blanking: Fraction
    picture_lines: int
    pulse: Fraction

    @property
    def line_rate(self) -> Fraction:
        """Lines a second, Hz: the sampling rate over the samples of a line."""
        return Fraction(SAMPLE_RATE, self.line_samples)

    @property
    def active_time(self) -> Fraction:
        """Seconds of the analogue active picture: the line less its blanking."""
        return 1 / self.line_rate - self.blanking

    @property
    def active_samples(self) -> Fraction:
        """Width of the analogue active picture in samples: 4739/90 µs → 710.85 (525), 52 µs → 702 (625)."""
        return self.active_time * SAMPLE_RATE


LINES_525 = LineSystem("525", LINE_SAMPLES_525, DIGITAL_START_525, BLANKING_525, PICTURE_LINES_525, PULSE_525)
LINES_625 = LineSystem("625", LINE_SAMPLES_625, DIGITAL_START_625, BLANKING_625, PICTURE_LINES_625, PULSE_625)
