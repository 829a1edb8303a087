"""Every number has its source beside it, and is reached a second way in exact fractions."""

import importlib
import pkgutil
from fractions import Fraction
from math import log
from typing import get_type_hints

import pytest

from appliance import video
from appliance.video.colour import LUMA_BLUE, LUMA_RED, U_GAIN, V_GAIN
from appliance.video.light import DISPLAY_EXPONENT, luminance_weights
from appliance.video.sources import DOCUMENTS, Source

# Imported before typing may be; the source of bounds and modeline stands in their words.
LIGHT_MODULES = {"bounds", "modeline"}
NO_SOURCE_NEEDED = {"CODES", "CELL_SAMPLES", "CELL_LINES"}  # 2⁸ − 1, and a choice of ours

MODULES = {
    info.name: importlib.import_module(f"appliance.video.{info.name}")
    for info in pkgutil.iter_modules(video.__path__)
    if info.name not in LIGHT_MODULES
}
CONSTANTS = {
    name: value
    for module in MODULES.values()
    for name, value in vars(module).items()
    if name.isupper() and not name.startswith("_") and isinstance(value, int | float | Fraction)
}


def sources() -> dict[str, Source]:
    """Constant → the source beside it."""
    hints = [hint for module in MODULES.values() for hint in get_type_hints(module, include_extras=True).items()]
    return {
        name: extra for name, hint in hints for extra in getattr(hint, "__metadata__", ()) if isinstance(extra, Source)
    }


def test_every_number_has_a_source() -> None:
    """No public number of the package stands without the document it comes from."""
    assert set(CONSTANTS) - NO_SOURCE_NEEDED <= set(sources())


def test_every_source_exists() -> None:
    """Each source names a document of the list and the clause in it, and no document is listed in vain."""
    cited = sources().values()
    assert {source.document for source in cited} == set(DOCUMENTS)
    assert all(source.clause for source in cited)


LINE_525 = Fraction(4_500_000, 286)
"""Hz: the sound carrier's 4.5 MHz over 286 (BT.470-5 M; SMPTE 170M)."""

# The second way to each number; exact fractions.
SECOND_WAY = {
    "SAMPLE_RATE": 858 * LINE_525,
    "SAMPLES": 864 - 144,  # BT.601-7: the digital line blanking, 144 and 138 samples
    "LINE_SAMPLES_525": 720 + 138,
    "LINE_SAMPLES_625": Fraction(13_500_000, 15_625),
    "DIGITAL_START_525": 858 - 736,  # BT.601-7: 0H at sample 736
    "DIGITAL_START_625": 864 - 732,  # and at 732
    "BLANKING_525": Fraction(15 + 94, 10**7),  # SMPTE 170M: 1.5 µs before 0H and 9.4 after
    "BLANKING_625": Fraction(15 + 105, 10**7),  # BT.470-5: 1.5 µs before 0H and 10.5 after
    "PICTURE_LINES_525": 2 * (263 - 21 + 1),  # SMPTE 170M: lines 21 to 263 of each field (from memory)
    "PICTURE_LINES_625": 2 * (310 - 23 + 1),  # BT.656: lines 23 to 310 and 336 to 623 (from memory)
    "LINES_PER_FRAME_525": LINE_525 / Fraction(30_000, 1001),
    "LINES_PER_FRAME_625": Fraction(15_625, 25),
    "PULSE_525": 1 / Fraction(2 * 4_000_000),  # T is half the period of the nominal band's edge, 4 MHz
    "PULSE_625": 1 / Fraction(2 * 5_000_000),  # and 5 MHz
    "WHITE_525": Fraction(100, 140) * 1000,
    "SYNC_525": Fraction(100, 140) * 1000 - 1000,
    "BURST_525": -1 * Fraction(-40, 140) * 1000,  # as high as sync is deep
    "SETUP": Fraction(282 - 240) / Fraction(56, 10),  # SMPTE 244M: 10-bit black 282, blanking 240 (from memory)
    "WHITE_625": Fraction(844 - 256, 844 - 4) * 1000,  # EBU Tech 3280: 10-bit white, blanking and sync
    "SYNC_625": Fraction(4 - 256, 844 - 4) * 1000,
    "BURST_625": Fraction(3, 7) * 700,  # BT.470-5: as high as sync is deep
    "NTSC": Fraction(35, 132) * 13_500_000,  # the ratio of subcarrier to BT.601's sampling
    "PAL": Fraction(709_379 * 25, 4),  # EBU Tech 3280: samples a frame at four times the subcarrier
    "PAL_N": Fraction(917, 4) * 15_625 + 25,
    "PAL_M": Fraction(909, 910) * Fraction(315_000_000, 88),
    "CHANGE": Fraction(20, 200),  # BT.1702-3: 20 cd/m² on its screen of 200
    "DARKER": Fraction(160, 200),  # BT.1702-3: 160 cd/m²
    "AREA": Fraction(21_824, 341 * 256),  # WCAG 2.2: a quarter of 341 × 256 pixels
    "CHANGES": 2 * len(range(0, 1000, 360)),  # BT.1702-3: leading edges 360 ms apart
    "BURST_START_525": 19 * Fraction(132, 35) / Fraction(27, 2),  # 19 cycles of 35/132 fs
    "PICTURE_ASPECT": Fraction(768, 576),  # a 625-line picture in square pixels
}
ELSEWHERE = {"LUMA_RED", "LUMA_BLUE", "U_GAIN", "V_GAIN", "DISPLAY_EXPONENT"}
ONE_SOURCE = {"RED_SHARE", "RED_DISTANCE", "PROLONGED", "PAIRS", "STANDING", "MOVING"}
ONE_SOURCE |= {"SYNC_TIME", "BURST_CYCLES_525", "BURST_CYCLES_625", "BURST_START_625"}
ONE_SOURCE |= {"RISE_525", "RISE_625", "CHROMA_BAND"}
"""What one document sets and no other road leads to; its effect is measured in the tests of its module."""


@pytest.mark.parametrize("name", SECOND_WAY)
def test_second_way(name: str) -> None:
    """The constant is what another road through the standards comes to, exactly."""
    assert CONSTANTS[name] == SECOND_WAY[name]


def test_no_number_is_left_out() -> None:
    """Every number but those that one document sets is reached a second way, here or in a test below."""
    assert set(CONSTANTS) - NO_SOURCE_NEEDED == set(SECOND_WAY) | ELSEWHERE | ONE_SOURCE


def test_gains_from_the_limits_of_full_bars() -> None:
    """U and V gains are those that put full yellow and cyan, as computed from BT.601's luma, at 4/3 of white."""
    peak, red, blue = Fraction(4, 3), LUMA_RED, LUMA_BLUE
    # yellow: B'−Y' = −(1−blue), R'−Y' = blue; cyan: B'−Y' = red, R'−Y' = −(1−red). Two equations in the squares.
    a, b, p = (1 - blue) ** 2, blue**2, (peak - (1 - blue)) ** 2
    c, d, q = red**2, (1 - red) ** 2, (peak - (1 - red)) ** 2
    u_squared, v_squared = (p * d - b * q) / (a * d - b * c), (a * q - c * p) / (a * d - b * c)
    assert (U_GAIN - Fraction(1, 2_000_000)) ** 2 < u_squared < (U_GAIN + Fraction(1, 2_000_000)) ** 2
    assert (V_GAIN - Fraction(1, 2_000_000)) ** 2 < v_squared < (V_GAIN + Fraction(1, 2_000_000)) ** 2


ILLUMINANT_C = (Fraction(31_006, 100_000), Fraction(31_616, 100_000))
"""CIE 15: x, y of illuminant C."""


def test_luma_weights_from_the_first_primaries() -> None:
    """0.299 and 0.114 are the luminance of the 1953 primaries at illuminant C, to three figures (BT.470-5 M).

    The exact blue is 0.1145, which the published figures round down so that the three add up to 1.
    """
    first = tuple((Fraction(x, 100), Fraction(y, 100)) for x, y in ((67, 33), (21, 71), (14, 8)))
    red, _, blue = luminance_weights((first[0], first[1], first[2]), ILLUMINANT_C)
    assert abs(red - LUMA_RED) < Fraction(1, 2000)
    assert abs(blue - LUMA_BLUE) < Fraction(1, 1000)


def test_display_exponent_from_half_signal() -> None:
    """Half signal gives 18.9465 cd/m² of 100 (BT.1886, computed), which takes an exponent of 2.4."""
    assert log(0.189465) / log(0.5) == pytest.approx(float(DISPLAY_EXPONENT), abs=1e-5)
