"""A colour on the lead and on the screen: luma, chroma and phase of R'G'B', BT.601 codes, linear light.

A colour is three codes ``(red, green, blue)`` from 0 to 255, whole or fractional. Luma, U and V are exact; what
needs a root or an angle is a float. Rates of light are for the primaries of the line system and D65 white; a
Japanese set at 9300 K is bluer, which changes the look and not these figures.
"""

from collections.abc import Mapping
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
DISPLAY_EXPONENT: Annotated[Fraction, Source("ITU-R BT.1886", "0 (2011)", "annex 1: γ = 2.40")] = Fraction(12, 5)
"""Light over signal of a tube, black at nothing."""

SWITCHED_SYSTEMS = frozenset({"PAL", "PAL-M", "PAL-N", "PAL-60"})
"""Systems that turn V over on every other line."""


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
        return hypot(self.u, self.v)

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


def light(code: Exact) -> float:
    """Linear light of one gun, 0 to 1 (ITU-R BT.1886 with black at nothing); 100 times it is cd/m² on a studio tube."""
    return float(code / CODES) ** float(DISPLAY_EXPONENT)


Chromaticity = tuple[Fraction, Fraction]


def _xy(*thousandths: int) -> tuple[Chromaticity, Chromaticity, Chromaticity]:
    x = [Fraction(n, 1000) for n in thousandths]
    return (x[0], x[1]), (x[2], x[3]), (x[4], x[5])


Primaries = tuple[Chromaticity, Chromaticity, Chromaticity]

PRIMARIES_525: Annotated[Primaries, Source("SMPTE RP 145", "2004", "primaries")] = _xy(630, 340, 310, 595, 155, 70)
"""CIE 1931 x, y of red, green and blue."""
PRIMARIES_625: Annotated[Primaries, Source("ITU-R BT.470", "6 (1998)", "primaries, 625")] = _xy(
    640, 330, 290, 600, 150, 60
)
"""As above, 625 lines."""
WHITE_D65: Annotated[Chromaticity, Source("SMPTE RP 145", "2004", "reference white D65")] = (
    Fraction(3127, 10_000),
    Fraction(3290, 10_000),
)
"""CIE 1931 x, y of white, both line systems."""


def luminance_weights(primaries: Primaries, white: Chromaticity = WHITE_D65) -> Codes:
    """Share of red, green and blue in the luminance of white, exact; they sum to 1.

    Source: SMPTE RP 177-1993, the derivation of the luminance equation from chromaticities (from memory).
    """
    target = (white[0] / white[1], Fraction(1), (1 - white[0] - white[1]) / white[1])
    columns = [(x / y, Fraction(1), (1 - x - y) / y) for x, y in primaries]
    whole = _determinant(*columns)
    red = _determinant(target, columns[1], columns[2]) / whole
    blue = _determinant(columns[0], columns[1], target) / whole
    return red, 1 - red - blue, blue


Triple = tuple[Fraction, Fraction, Fraction]


def _determinant(a: Triple, b: Triple, c: Triple) -> Fraction:
    return (
        a[0] * (b[1] * c[2] - b[2] * c[1])
        - a[1] * (b[0] * c[2] - b[2] * c[0])
        + a[2] * (b[0] * c[1] - b[1] * c[0])
    )  # fmt: skip


_WEIGHTS = {
    "525": tuple(map(float, luminance_weights(PRIMARIES_525))),
    "625": tuple(map(float, luminance_weights(PRIMARIES_625))),
}


def luminance(fmt: Format, colour: Codes) -> float:
    """Relative luminance, 0 to 1, of a colour on a tube of the format's line system."""
    weights = _WEIGHTS[fmt.line_system.name]
    return sum(weight * light(code) for weight, code in zip(weights, colour, strict=True))


@dataclass(frozen=True)
class AveragePicture:
    """Average of a frame in percent of full white: of the luma signal (the APL) and of the light."""

    signal: float
    light: float


def average_picture(fmt: Format, colours: Mapping[int, int]) -> AveragePicture:
    """The averages of a frame given as how many samples there are of each XRGB colour; raises ``ValueError`` for none.

    The active lines alone are averaged, blanking is left out (usual practice, ITU-R BT.814 speaks of the same).
    """
    samples = sum(colours.values())
    if not samples:
        raise ValueError("an empty frame has no average")
    split = {colour: unpack(colour) for colour in colours}
    signal = sum(float(luma(split[colour])) * count for colour, count in colours.items())
    bright = sum(luminance(fmt, split[colour]) * count for colour, count in colours.items())
    return AveragePicture(100 * signal / samples, 100 * bright / samples)


def unpack(xrgb: int) -> tuple[int, int, int]:
    """Red, green and blue of a 0x00RRGGBB word."""
    return xrgb >> 16 & 255, xrgb >> 8 & 255, xrgb & 255
