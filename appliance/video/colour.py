"""A colour on the lead: luma, chroma and phase of R'G'B' in each system, and its BT.601 codes.

A colour is three codes ``(red, green, blue)`` from 0 to 255, whole or fractional. Luma, U and V are exact; what
needs a root or an angle is a float.
"""

from dataclasses import dataclass
from fractions import Fraction
from math import atan2, degrees, hypot
from typing import Annotated

from appliance.video.formats import Format
from appliance.video.levels import CODES, Exact, scale_of
from appliance.video.sources import Source

Codes = tuple[Exact, Exact, Exact]

_SMPTE = ("SMPTE 170M", "2004")

LUMA_RED: Annotated[Fraction, Source("ITU-R BT.601", "7 (2011)", "construction of luminance: 0.299")] = Fraction(
    299, 1000
)
LUMA_BLUE: Annotated[Fraction, Source("ITU-R BT.601", "7 (2011)", "construction of luminance: 0.114")] = Fraction(
    114, 1000
)
U_GAIN: Annotated[Fraction, Source(*_SMPTE, "colour-difference signals: 0.492111")] = Fraction(492_111, 1_000_000)
"""U over B'−Y'; with :data:`V_GAIN` it keeps full bars within 4/3 and −1/3 of white."""
V_GAIN: Annotated[Fraction, Source(*_SMPTE, "colour-difference signals: 0.877283")] = Fraction(877_283, 1_000_000)
"""V over R'−Y'."""

SWITCHED_SYSTEMS = frozenset({"PAL", "PAL-M", "PAL-N", "PAL-60"})
"""Systems that turn V over on every other line."""


def unpack(xrgb: int) -> tuple[int, int, int]:
    """Red, green and blue of a 0x00RRGGBB word."""
    return xrgb >> 16 & 255, xrgb >> 8 & 255, xrgb & 255


def luma(colour: Codes) -> Fraction:
    """Y' from 0 (black) to 1 (white)."""
    red, green, blue = (Fraction(code) / CODES for code in colour)
    return LUMA_RED * red + (1 - LUMA_RED - LUMA_BLUE) * green + LUMA_BLUE * blue


@dataclass(frozen=True)
class Composite:
    """A colour on the lead, in IRE: luma above blanking, U and V as amplitudes."""

    luma: Fraction
    u: Fraction
    v: Fraction

    @property
    def amplitude(self) -> float:
        """IRE of the chroma, zero to peak."""
        return float(hypot(self.u, self.v))

    @property
    def chroma(self) -> float:
        """IRE of the chroma, peak to peak."""
        return 2 * self.amplitude

    @property
    def top(self) -> float:
        """IRE of the highest point of the chroma on its luma."""
        return float(self.luma) + self.amplitude

    @property
    def bottom(self) -> float:
        """IRE of the lowest point."""
        return float(self.luma) - self.amplitude

    @property
    def phase(self) -> float | None:
        """Degrees from B−Y, 0 up to 360; None where there is no chroma."""
        return degrees(atan2(self.v, self.u)) % 360 if self.u or self.v else None

    def switched(self) -> "Composite":
        """The same colour on a line whose V is turned over."""
        return Composite(self.luma, self.u, -self.v)


def composite(fmt: Format, system: str, colour: Codes) -> Composite:
    """``colour`` on the lead; in ``mono`` its luma alone.

    Raises :class:`Refused` when system and format do not go together.
    """
    scale = scale_of(fmt, system)
    bright = luma(colour)
    swing = 100 * scale.gain if scale.burst else Fraction(0)
    red, _, blue = (Fraction(code) / CODES for code in colour)
    return Composite(scale.ire(bright * CODES), swing * U_GAIN * (blue - bright), swing * V_GAIN * (red - bright))


def codes_601(colour: Codes) -> tuple[int, int, int]:
    """``(Y, CB, CR)`` as 8-bit codes, 16–235 and 16–240 about 128 (ITU-R BT.601-7, quantization), halves up."""
    bright = luma(colour)
    red, _, blue = (Fraction(code) / CODES for code in colour)
    differences = (blue - bright) / (2 * (1 - LUMA_BLUE)), (red - bright) / (2 * (1 - LUMA_RED))
    y, cb, cr = (int(value + Fraction(1, 2)) for value in (16 + 219 * bright, *(128 + 224 * d for d in differences)))
    return y, cb, cr
