"""The four formats against the published tables of the line systems."""

from fractions import Fraction

import pytest

from appliance.errors import Refused
from appliance.video.formats import FORMATS, TV_MODES, check_system, find_format, find_mode
from appliance.video.modeline import Modeline, read_modeline

# ITU-R BT.470-5: line frequency 15 734.264 Hz ±0.0003 % (M), 15 625 Hz (B/G); fields 60/1.001 and 50 a second.
# Totals of 262 and 312 lines: computed, no standard has them.
RATES = {
    "240p": (Fraction(262), Fraction(1_125_000, 18_733), 60.05445),
    "480i": (Fraction(525, 2), Fraction(60_000, 1001), 59.94006),
    "288p": (Fraction(312), Fraction(15_625, 312), 50.08013),
    "576i": (Fraction(625, 2), Fraction(50), 50.0),
}


@pytest.mark.parametrize("name", FORMATS)
def test_field_rate(name: str) -> None:
    """The field rate is exact: BT.470-5 for the interlaced formats, whole lines of the same length otherwise."""
    total, exact, rounded = RATES[name]
    assert FORMATS[name].line_total == total
    assert FORMATS[name].field_rate == exact
    assert float(FORMATS[name].field_rate) == pytest.approx(rounded, abs=5e-6)


@pytest.mark.parametrize(("name", "rate", "period"), [("480i", 15_734.2657, 63.5556), ("576i", 15_625, 64.0)])
def test_line_rate(name: str, rate: float, period: float) -> None:
    """Line frequency and period are those of the BT.470-5 table."""
    assert float(FORMATS[name].line_rate) == pytest.approx(rate, abs=5e-5)
    assert float(1_000_000 / FORMATS[name].line_rate) == pytest.approx(period, abs=5e-5)


@pytest.mark.parametrize(("name", "us", "samples"), [("480i", 52.6556, 710.85), ("576i", 52.0, 702.0)])
def test_active_picture(name: str, us: float, samples: float) -> None:
    """The analogue active line is what blanking leaves (SMPTE 170M, BT.470-5), in samples of BT.601."""
    lines = FORMATS[name].line_system
    assert float(lines.active_time * 1_000_000) == pytest.approx(us, abs=5e-5)
    assert float(lines.active_samples) == pytest.approx(samples, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "exact", "rounded"),
    [
        ("240p", Fraction(2160, 4739), 0.45579),
        ("480i", Fraction(4320, 4739), 0.91158),
        ("288p", Fraction(64, 117), 0.54701),
        ("576i", Fraction(128, 117), 1.09402),
    ],
)
def test_pixel_aspect(name: str, exact: Fraction, rounded: float) -> None:
    """A sample's shape follows from a 4:3 active picture; computed, and 128/117 as commonly published for 625."""
    assert FORMATS[name].pixel_aspect == exact
    assert float(exact) == pytest.approx(rounded, abs=5e-6)


@pytest.mark.parametrize(("name", "square_clock"), [("480i", Fraction(135, 11)), ("576i", Fraction(59, 4))])
def test_pixel_aspect_beside_the_square_clock_form(name: str, square_clock: Fraction) -> None:
    """The forms from square-pixel clocks of 135/11 and 59/4 MHz, 10/11 and 59/54, lie within half a percent."""
    form = square_clock / Fraction(27, 2)
    assert form in (Fraction(10, 11), Fraction(59, 54))
    assert float(FORMATS[name].pixel_aspect / form) == pytest.approx(1, abs=0.005)


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("240p", "13500 720 734 798 858 240 243 246 262 0"),  # Raspberry Pi kernel 6.12, list of the encoder's modes
        ("480i", "13500 720 734 798 858 480 487 493 525 1"),  # Linux drm_modes.c, named mode 480i
        ("288p", "13500 720 740 804 864 288 290 293 312 0"),  # Raspberry Pi kernel 6.12
        ("576i", "13500 720 740 804 864 576 580 586 625 1"),  # Linux drm_modes.c, named mode 576i
    ],
)
def test_modeline(name: str, text: str) -> None:
    """The modelines are the kernel's, and survive being written and read."""
    assert FORMATS[name].modeline.text() == text
    assert read_modeline(text) == FORMATS[name].modeline


@pytest.mark.parametrize("name", FORMATS)
def test_modeline_makes_the_rate(name: str) -> None:
    """What the modeline's numbers come to is the format's own field time, whole interlaced frames taken as two."""
    fmt = FORMATS[name]
    assert fmt.modeline.field_time == pytest.approx(float(fmt.field_time), rel=1e-15)


def test_rows_of_the_frame() -> None:
    """An interlaced frame has twice the rows of the progressive one, and BT.601's 480 and 576 of 486 and 576."""
    assert [(fmt.name, fmt.lines, int(fmt.picture_lines)) for fmt in FORMATS.values()] == [
        ("240p", 240, 243),
        ("480i", 480, 486),
        ("288p", 288, 288),
        ("576i", 576, 576),
    ]


def test_systems_go_with_their_lines() -> None:
    """Each colour system belongs to its line system, as BT.470-5 has them, and mono to both."""
    of_525 = {system for name in ("240p", "480i") for system in FORMATS[name].systems}
    of_625 = {system for name in ("288p", "576i") for system in FORMATS[name].systems}
    assert of_525 == {"NTSC", "NTSC-J", "PAL-M", "PAL-60", "mono"}
    assert of_625 == {"PAL", "PAL-N", "mono"}
    assert of_525 | of_625 == set(TV_MODES)


def test_mode_of_a_system() -> None:
    """A format in a system gives the modeline and the kernel's own word for the system."""
    assert find_mode(FORMATS["240p"], "PAL-60").tv_mode == "PAL"
    assert find_mode(FORMATS["576i"], "mono").tv_mode == "Mono"


def test_refusals_say_what_there_is() -> None:
    """An unknown format, a system that does not fit and a spoilt modeline each name the value and the way out."""
    with pytest.raises(Refused, match=r"format '1080p': unknown; there are 240p, 480i"):
        find_format("1080p")
    with pytest.raises(Refused, match=r"system 'PAL': does not go with 240p; it takes NTSC"):
        check_system(FORMATS["240p"], "PAL")
    for text in ("", "13500 720", "13500 720 734 798 858 240 243 246 262 x"):
        with pytest.raises(Refused, match="ten whole numbers"):
            read_modeline(text)
    assert find_format("240p") is FORMATS["240p"]
    assert isinstance(find_format("240p").modeline, Modeline)
