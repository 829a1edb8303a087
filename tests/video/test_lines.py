"""Positions in microseconds, percent and TV lines against the timing tables of the line systems."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appliance.video.formats import FORMATS
from appliance.video.lines import (
    across,
    across_at,
    down,
    frequency,
    microseconds,
    percent_across,
    percent_down,
    tv_lines,
)

NAMES = st.sampled_from(list(FORMATS))
NUMBERS = st.fractions(-1000, 2000, max_denominator=1000)


@pytest.mark.parametrize(("name", "start"), [("480i", 122), ("240p", 122), ("576i", 132), ("288p", 132)])
def test_first_sample(name: str, start: int) -> None:
    """The first sample's instant is 122 or 132 sampling periods after 0H (ITU-R BT.601-7, timing against 0H)."""
    assert microseconds(FORMATS[name], Fraction(1, 2)) == Fraction(start * 2, 27)


@pytest.mark.parametrize(("name", "end", "front"), [("480i", 858, 16), ("576i", 864, 12)])
def test_next_line_after_the_last_sample(name: str, end: int, front: int) -> None:
    """From the end of the 720 samples to the next 0H are 16 or 12 periods (ITU-R BT.601-7: 736 and 732 to 0H)."""
    last = microseconds(FORMATS[name], Fraction(1439, 2)) * Fraction(27, 2)
    assert end - (last + 1) == front


@pytest.mark.parametrize(
    ("name", "begin", "end", "tolerance"),
    [
        ("480i", 9.4, 63.5556 - 1.5, 0.2),  # SMPTE 170M: blanking 10.9 ±0.2 µs of which 1.5 ±0.1 before 0H
        ("576i", 10.5, 64 - 1.5, 0.3),  # BT.470-5: blanking 12 ±0.3 µs of which 1.5 ±0.3 before 0H
    ],
)
def test_picture_lies_within_the_blanking_tolerance(name: str, begin: float, end: float, tolerance: float) -> None:
    """Centred on the 720 samples, the picture begins and ends where the standard's blanking does, in its tolerance."""
    fmt = FORMATS[name]
    assert float(microseconds(fmt, across(fmt, 0))) == pytest.approx(begin, abs=tolerance)
    assert float(microseconds(fmt, across(fmt, 100))) == pytest.approx(end, abs=tolerance)


@pytest.mark.parametrize(
    ("name", "left", "right"),
    [("240p", 4.575, 715.425), ("480i", 4.575, 715.425), ("288p", 9, 711), ("576i", 9, 711)],
)
def test_edges_of_the_picture_across(name: str, left: float, right: float) -> None:
    """710.85 samples (SMPTE 170M) or 702 (BT.470-5) centred on 720: computed."""
    fmt = FORMATS[name]
    assert (float(across(fmt, 0)), float(across(fmt, 100))) == pytest.approx((left, right), abs=1e-9)
    assert across(fmt, 50) == 360


@pytest.mark.parametrize(
    ("name", "top", "bottom"), [("240p", -1.5, 241.5), ("480i", -3, 483), ("288p", 0, 288), ("576i", 0, 576)]
)
def test_edges_of_the_picture_down(name: str, top: float, bottom: float) -> None:
    """480 coded lines centred on 486 (SMPTE 170M), 576 of 576 (BT.601), half as many progressive."""
    fmt = FORMATS[name]
    assert [down(fmt, 0), down(fmt, 100)] == [top, bottom]
    assert percent_down(fmt, Fraction(fmt.lines, 2)) == 50


def test_width_in_time() -> None:
    """From 0 to 100 % are 52.6556 µs (SMPTE 170M) and 52 µs (BT.470-5)."""
    spans = [microseconds(f, across(f, 100)) - microseconds(f, across(f, 0)) for f in FORMATS.values()]
    assert spans == [Fraction(4739, 90), Fraction(4739, 90), 52, 52]


@pytest.mark.parametrize("name", FORMATS)
def test_a_square_is_square(name: str) -> None:
    """As many percent of the width as 3/4 of those of the height, over the pixel aspect, is a square (4:3 picture)."""
    fmt = FORMATS[name]
    wide = across(fmt, 65) - across(fmt, 50)
    high = down(fmt, 70) - down(fmt, 50)
    assert wide * fmt.pixel_aspect == high


@given(NAMES, NUMBERS)
def test_there_and_back(name: str, number: Fraction) -> None:
    """Each conversion and its inverse cancel exactly."""
    fmt = FORMATS[name]
    assert across_at(fmt, microseconds(fmt, number)) == number
    assert across(fmt, percent_across(fmt, number)) == number
    assert down(fmt, percent_down(fmt, number)) == number
    assert frequency(fmt, tv_lines(fmt, number)) == number


@pytest.mark.parametrize(
    ("name", "megahertz", "lines"),
    [
        ("480i", Fraction(1), 78.98), ("240p", Fraction(42, 10), 331.7),  # SMPTE 170M's line; computed
        ("576i", Fraction(1), 78.0), ("288p", Fraction(5), 390),  # BT.470-5; computed
    ],
)  # fmt: skip
def test_tv_lines(name: str, megahertz: Fraction, lines: float) -> None:
    """TV lines per picture height of a frequency: 2 · f · active line · ¾."""
    assert float(tv_lines(FORMATS[name], megahertz * 1_000_000)) == pytest.approx(lines, abs=0.05)


@pytest.mark.parametrize("name", FORMATS)
def test_tv_lines_of_one_on_one_off(name: str) -> None:
    """One sample light, one dark is 6.75 MHz: as many TV lines as samples fit in a picture height's width."""
    fmt = FORMATS[name]
    assert tv_lines(fmt, 6_750_000) == fmt.line_system.active_samples * Fraction(3, 4)
