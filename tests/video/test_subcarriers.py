"""Subcarriers against the standards' figures and their relation to the lines."""

from fractions import Fraction

import pytest

from appliance.errors import Refused
from appliance.video.formats import FORMATS
from appliance.video.subcarriers import cycles_per_field, cycles_per_line, subcarrier


@pytest.mark.parametrize(
    ("system", "hertz", "tolerance"),
    [
        ("NTSC", 3_579_545.4545, 1e-4),  # SMPTE 170M: 315/88 MHz
        ("PAL", 4_433_618.75, 0),  # BT.470-5 B/G
        ("PAL-60", 4_433_618.75, 0),  # the same oscillator; usual practice
        ("PAL-N", 3_582_056.25, 0),  # BT.470-5 N
        ("PAL-M", 3_575_611.49, 0.4),  # BT.470-5 M/PAL, reckoned there from a rounded line rate
    ],
)
def test_published_frequency(system: str, hertz: float, tolerance: float) -> None:
    """Each subcarrier is the frequency that its standard prints."""
    assert float(subcarrier(system)) == pytest.approx(hertz, abs=tolerance)


@pytest.mark.parametrize(
    ("name", "system", "cycles"),
    [
        ("480i", "NTSC", Fraction(455, 2)),  # SMPTE 170M: 227½, so lines interleave
        ("480i", "NTSC-J", Fraction(455, 2)),
        ("480i", "PAL-M", Fraction(909, 4)),  # BT.470-5
        ("576i", "PAL", Fraction(1135, 4) + Fraction(25, 15_625)),  # BT.470-5: and 25 Hz
        ("576i", "PAL-N", Fraction(917, 4) + Fraction(25, 15_625)),
    ],
)
def test_cycles_per_line(name: str, system: str, cycles: Fraction) -> None:
    """A line holds the standard's number of cycles, exactly."""
    assert cycles_per_line(FORMATS[name], system) == cycles


def test_ntsc_in_262_lines_stands_still() -> None:
    """262 lines make exactly 59 605 cycles, so the dot pattern of 240p NTSC is the same on every field (computed)."""
    assert cycles_per_field(FORMATS["240p"], "NTSC") == 59_605
    assert cycles_per_field(FORMATS["480i"], "NTSC") == Fraction(238_875, 4)  # SMPTE 170M: four fields to repeat


def test_pal_repeats_after_eight_fields() -> None:
    """In 625 lines the subcarrier comes round after eight fields and no sooner (BT.470-5)."""
    cycles = cycles_per_field(FORMATS["576i"], "PAL")
    assert [n for n in range(1, 9) if (n * cycles).denominator == 1] == [8]


def test_four_times_subcarrier() -> None:
    """Samples at 4 fsc: 910 a line in NTSC (SMPTE 244M), 709 379 a frame in PAL (EBU Tech 3280)."""
    assert 4 * cycles_per_line(FORMATS["480i"], "NTSC") == 910
    assert 8 * cycles_per_field(FORMATS["576i"], "PAL") == 709_379


def test_refusals() -> None:
    """Mono has no subcarrier, and a system is not reckoned in lines it does not go with."""
    with pytest.raises(Refused, match=r"system 'mono': no subcarrier; there are NTSC"):
        subcarrier("mono")
    with pytest.raises(Refused, match="does not go with"):
        cycles_per_field(FORMATS["288p"], "NTSC")
