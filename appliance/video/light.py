"""A colour on the screen: linear light of a code, luminance of a colour, the average of a whole picture.

Luminance is for the primaries of the line system and D65 white; a Japanese set at 9300 K is bluer, which changes
the look and not these figures.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from appliance.video.colour import Codes, luma, unpack
from appliance.video.formats import Format
from appliance.video.levels import CODES, Exact
from appliance.video.sources import Source

DISPLAY_EXPONENT: Annotated[Fraction, Source("ITU-R BT.1886", "0 (2011)", "annex 1: γ = 2.40")] = Fraction(12, 5)
"""Light over signal of a tube, black at nothing."""


def light(code: Exact) -> float:
    """Linear light of one gun, 0 to 1 (ITU-R BT.1886 with black at nothing); 100 times it is cd/m² on a studio tube."""
    return float(float(code / CODES) ** float(DISPLAY_EXPONENT))


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

    The active lines alone are averaged, blanking is left out (usual practice, no document).
    """
    samples = sum(colours.values())
    if not samples:
        raise ValueError("an empty frame has no average")
    split = {colour: unpack(colour) for colour in colours}
    signal = sum(float(luma(split[colour])) * count for colour, count in colours.items())
    bright = sum(luminance(fmt, split[colour]) * count for colour, count in colours.items())
    return AveragePicture(100 * signal / samples, 100 * bright / samples)
