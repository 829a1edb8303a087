"""Colours on the lead against colour-bar tables and a general colour library."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appliance.errors import Refused
from appliance.video.colour import SWITCHED_SYSTEMS, U_GAIN, V_GAIN, Composite, codes_601, composite, luma
from appliance.video.formats import FORMATS
from appliance.video.levels import scale_of
from tests.video.reference import colour_science

COLOUR = colour_science()  # loaded once, it takes a second

GUNS = {
    "white": (1, 1, 1), "yellow": (1, 1, 0), "cyan": (0, 1, 1), "green": (0, 1, 0),
    "magenta": (1, 0, 1), "red": (1, 0, 0), "blue": (0, 0, 1), "black": (0, 0, 0),
}  # fmt: skip

CODES = st.tuples(*[st.integers(0, 255)] * 3)


def bar(name: str, percent: int, fmt: str, system: str) -> Composite:
    """A bar at so many percent of the range from black to white."""
    red, green, blue = (Fraction(255 * gun * percent, 100) for gun in GUNS[name])
    return composite(FORMATS[fmt], system, (red, green, blue))


# luma, chroma p-p, top, bottom at 75 %; the same at 100 %; phase. Computed from the equations of SMPTE 170M; the 100 %
# figures agree with the published table of full-amplitude bars with 7.5 IRE setup.
NTSC = {
    "yellow": (68.97, 62.07, 100.00, 37.93, 89.45, 82.76, 130.83, 48.08, 167.08),
    "cyan": (56.13, 87.74, 100.00, 12.26, 72.34, 116.98, 130.83, 13.85, 283.46),
    "green": (48.22, 81.93, 89.19, 7.26, 61.80, 109.23, 116.41, 7.18, 240.71),
    "magenta": (36.15, 81.93, 77.11, -4.81, 45.70, 109.23, 100.32, -8.91, 60.71),
    "red": (28.24, 87.74, 72.11, -15.62, 35.16, 116.98, 93.65, -23.33, 103.46),
    "blue": (15.41, 62.07, 46.44, -15.62, 18.05, 82.76, 59.42, -23.33, 347.08),
}


@pytest.mark.parametrize("name", NTSC)
def test_ntsc_bars(name: str) -> None:
    """Luma, chroma, excursion and phase of NTSC bars with setup, at 75 and 100 % (SMPTE 170M)."""
    *levels, phase = NTSC[name]
    for percent, wanted in ((75, levels[:4]), (100, levels[4:])):
        got = bar(name, percent, "480i", "NTSC")
        assert [float(got.luma), got.chroma, got.top, got.bottom] == pytest.approx(wanted, abs=0.006)
        assert got.phase == pytest.approx(phase, abs=0.006)


def test_ntsc_white_bars() -> None:
    """White at 75 % is 76.88 IRE with setup (7.5 + 0.75 · 92.5), at 100 % 100 IRE, without chroma or phase."""
    white = bar("white", 75, "480i", "NTSC")
    assert (float(white.luma), white.chroma, white.phase) == (76.875, 0, None)
    assert bar("white", 100, "240p", "NTSC").luma == 100


@pytest.mark.parametrize(
    ("name", "bright", "chroma"),
    [
        ("white", 75, 0), ("yellow", 66.45, 67.10), ("cyan", 52.57, 94.85), ("green", 44.02, 88.57),
        ("magenta", 30.98, 88.57), ("red", 22.43, 94.85), ("blue", 8.55, 67.10),
    ],
)  # fmt: skip
def test_ntsc_j_bars(name: str, bright: float, chroma: float) -> None:
    """Luma and chroma of 75 % bars without setup (computed from SMPTE 170M)."""
    got = bar(name, 75, "240p", "NTSC-J")
    assert [float(got.luma), got.chroma] == pytest.approx([bright, chroma], abs=0.006)


# mV: luma and chroma p-p at 75 %, at 100 %; phase on a plain and a switched line. Computed from BT.470-5 B/G.
PAL = {
    "yellow": (465.15, 469.70, 620.2, 626.27, 167.1, 192.9),
    "cyan": (368.02, 663.95, 490.7, 885.27, 283.5, 76.5),
    "green": (308.17, 619.98, 410.9, 826.63, 240.7, 119.3),
    "magenta": (216.83, 619.98, 289.1, 826.63, 60.7, 299.3),
    "red": (156.97, 663.95, 209.3, 885.27, 103.5, 256.5),
    "blue": (59.85, 469.70, 79.8, 626.27, 347.1, 12.9),
}


@pytest.mark.parametrize("name", PAL)
def test_pal_bars(name: str) -> None:
    """Millivolts of luma and chroma of PAL bars and their phase on either kind of line (BT.470-5)."""
    scale = scale_of(FORMATS["576i"], "PAL")
    *levels, plain, switched = PAL[name]
    for percent, wanted in ((75, levels[:2]), (100, levels[2:])):
        got = bar(name, percent, "576i", "PAL")
        millivolts = [float(scale.ire_to_millivolts(got.luma)), got.chroma * float(scale.white) / 100]
        assert millivolts == pytest.approx(wanted, abs=0.006)
        assert got.phase == pytest.approx(plain, abs=0.05)
        assert got.switched().phase == pytest.approx(switched, abs=0.05)


def test_full_bars_stay_within_four_thirds() -> None:
    """The gains of U and V keep full bars, no setup, from −1/3 to 4/3 of white: 133 % peak (BT.470-5 table)."""
    bars = [bar(name, 100, "576i", "PAL") for name in GUNS]
    assert max(got.top for got in bars) == pytest.approx(133.333, abs=5e-4)
    assert min(got.bottom for got in bars) == pytest.approx(-33.333, abs=5e-4)


def test_mono_has_no_chroma() -> None:
    """Mono keeps the luma of its line system without setup, and nothing of the colour."""
    red = bar("red", 100, "480i", "mono")
    assert float(red.luma) == pytest.approx(29.9)
    assert (red.chroma, red.phase) == (0, None)


def test_switched_systems() -> None:
    """V is turned over in every PAL (BT.470-5), in no NTSC."""
    assert {
        system for fmt in FORMATS.values() for system in fmt.systems if system.startswith("PAL")
    } == SWITCHED_SYSTEMS


def test_system_must_fit() -> None:
    """A colour is not reckoned for a system that the format cannot carry."""
    with pytest.raises(Refused, match="does not go with 288p"):
        composite(FORMATS["288p"], "PAL-M", (0, 0, 0))


@pytest.mark.parametrize(
    ("name", "codes"),
    [
        ("yellow", (162, 44, 142)), ("cyan", (131, 156, 44)), ("green", (112, 72, 58)),
        ("magenta", (84, 184, 198)), ("red", (65, 100, 212)), ("blue", (35, 212, 114)),
    ],
)  # fmt: skip
def test_601_codes_of_bars(name: str, codes: tuple[int, int, int]) -> None:
    """8-bit codes of the 75 % bars as general-purpose converters give them (BT.601-7)."""
    red, green, blue = (Fraction(255 * 3 * gun, 4) for gun in GUNS[name])
    assert codes_601((red, green, blue)) == codes


def test_601_code_of_white_and_black() -> None:
    """White is 235, black 16, both at 128 in colour difference (BT.601-7)."""
    assert codes_601((255, 255, 255)) == (235, 128, 128)
    assert codes_601((0, 0, 0)) == (16, 128, 128)


@given(CODES)
def test_601_codes_agree_with_the_library(colour: tuple[int, int, int]) -> None:
    """Every colour's codes are those of colour-science, which may differ by one at exact halves."""
    library = COLOUR
    weights = library.WEIGHTS_YCBCR["ITU-R BT.601"]
    wanted = library.RGB_to_YCbCr([code / 255 for code in colour], K=weights, out_bits=8, out_int=False, out_legal=True)
    exact = [float(value) * 255 for value in wanted]
    assert codes_601(colour) == pytest.approx(exact, abs=0.5 + 1e-9)


@given(CODES)
def test_luma_from_the_decoder_side(colour: tuple[int, int, int]) -> None:
    """Decoding Y, U and V by the inverse matrix gives the colour back (BT.470-5: R = Y + V/0.877, B = Y + U/0.493)."""
    coded = composite(FORMATS["576i"], "PAL", colour)
    bright = luma(colour)
    assert (coded.v / 100 / V_GAIN + bright) * 255 == colour[0]
    assert (coded.u / 100 / U_GAIN + bright) * 255 == colour[2]
