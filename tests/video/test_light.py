"""Light on the screen against BT.1886 and a general colour library."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appliance.video.colour import unpack
from appliance.video.formats import FORMATS
from appliance.video.light import (
    PRIMARIES_525,
    PRIMARIES_625,
    WHITE_D65,
    Primaries,
    average_picture,
    light,
    luminance,
    luminance_weights,
)
from tests.video.reference import colour_science

COLOUR = colour_science()  # loaded once, it takes a second


@pytest.mark.parametrize(
    ("signal", "cd"), [(10, 0.3981), (25, 3.5897), (50, 18.9465), (75, 50.1357), (90, 77.6573), (100, 100), (0, 0)]
)
def test_bt1886_table(signal: int, cd: float) -> None:
    """Light of a signal in percent, white at 100 cd/m², black at nothing (ITU-R BT.1886 annex 1, computed)."""
    assert 100 * light(Fraction(255 * signal, 100)) == pytest.approx(cd, abs=5e-5)


@given(st.integers(0, 255))
def test_bt1886_agrees_with_the_library(code: int) -> None:
    """Every code's light is colour-science's BT.1886."""
    wanted = COLOUR.models.eotf_BT1886(code / 255, L_B=0, L_W=1)
    assert light(code) == pytest.approx(float(wanted), rel=1e-12)


@pytest.mark.parametrize(("space", "primaries"), [("SMPTE C", PRIMARIES_525), ("ITU-R BT.470 - 625", PRIMARIES_625)])
def test_luminance_weights(space: str, primaries: Primaries) -> None:
    """Chromaticities are those of the library's space, and the weights derived from them its matrix's middle row."""
    library = COLOUR.RGB_COLOURSPACES[space]
    assert [[float(x), float(y)] for x, y in primaries] == library.primaries.tolist()
    assert [float(value) for value in WHITE_D65] == library.whitepoint.tolist()
    weights = luminance_weights(primaries)
    assert sum(weights) == 1
    assert [float(w) for w in weights] == pytest.approx(library.matrix_RGB_to_XYZ[1].tolist(), abs=1e-3)


def test_luminance_of_white_and_guns() -> None:
    """White is 1, and the guns' luminances add up to it in both line systems."""
    for name in ("480i", "576i"):
        guns = [luminance(FORMATS[name], gun) for gun in ((255, 0, 0), (0, 255, 0), (0, 0, 255))]
        assert luminance(FORMATS[name], (255, 255, 255)) == pytest.approx(1)
        assert sum(guns) == pytest.approx(1)
        assert guns[1] > guns[0] > guns[2]


def test_average_picture() -> None:
    """Half white and half black average 50 % in signal and light; a 50 % grey is as much signal and far less light."""
    fmt = FORMATS["240p"]
    halves = average_picture(fmt, {0xFFFFFF: 500, 0x000000: 500})
    assert (halves.signal, halves.light) == pytest.approx((50, 50))
    grey = average_picture(fmt, {0x808080: 7})
    assert grey.signal == pytest.approx(100 * 128 / 255)
    assert grey.light == pytest.approx(100 * (128 / 255) ** 2.4)  # BT.1886


def test_average_of_a_coloured_picture() -> None:
    """A blue picture is 11.4 % of signal (BT.601's weight) and its primary's share of the light."""
    blue = average_picture(FORMATS["576i"], {0x0000FF: 3})
    assert blue.signal == pytest.approx(11.4)
    assert blue.light == pytest.approx(100 * float(luminance_weights(PRIMARIES_625)[2]))


def test_no_average_of_nothing() -> None:
    """An empty frame is the caller's mistake and is said so."""
    with pytest.raises(ValueError, match="empty frame"):
        average_picture(FORMATS["240p"], {})


def test_unpack() -> None:
    """A frame's word holds red, green, blue from the top; the byte above them is ignored."""
    assert unpack(0xFF123456) == (0x12, 0x34, 0x56)
