"""Levels on the lead against the published scales."""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appliance.errors import Refused
from appliance.video.formats import FORMATS
from appliance.video.levels import Scale, scale_of

PAIRS = [(fmt.name, system) for fmt in FORMATS.values() for system in fmt.systems]


def scale(name: str, system: str) -> Scale:
    """The scale of a system in a format by name."""
    return scale_of(FORMATS[name], system)


@pytest.mark.parametrize(
    ("name", "system", "black", "white", "sync"),
    [
        ("480i", "NTSC", 53.571, 714.286, -285.714),  # SMPTE 170M: 7.5, 100 and −40 IRE of 1/140 V
        ("240p", "NTSC-J", 0, 714.286, -285.714),  # the same without setup
        ("240p", "PAL-M", 0, 714.286, -285.714),  # BT.470-5 M, less the setup that the encoder's driver leaves out
        ("240p", "PAL-60", 0, 700, -300),  # a European receiver's scale; usual practice, no source
        ("576i", "PAL", 0, 700, -300),  # BT.470-5 B/G
        ("288p", "PAL-N", 0, 700, -300),  # as PAL on this encoder; usual practice, no source
        ("480i", "mono", 0, 714.286, -285.714),
        ("576i", "mono", 0, 700, -300),
    ],
)
def test_millivolts(name: str, system: str, black: float, white: float, sync: float) -> None:
    """Black, white and sync tip come to the millivolts of the system's standard."""
    levels = scale(name, system)
    assert float(levels.millivolts(0)) == pytest.approx(black, abs=5e-4)
    assert float(levels.millivolts(255)) == pytest.approx(white, abs=5e-4)
    assert float(levels.sync) == pytest.approx(sync, abs=5e-4)
    assert levels.white - levels.sync == 1000  # one volt peak to peak, both standards


def test_only_ntsc_has_setup() -> None:
    """Of all systems in all formats, NTSC alone raises its black (the driver's configuration of each TV mode)."""
    assert {system for name, system in PAIRS if scale(name, system).setup} == {"NTSC"}
    assert scale("240p", "NTSC").setup == Fraction(15, 2)


@pytest.mark.parametrize(("system", "step"), [("NTSC", 9.25), ("NTSC-J", 10.0)])
def test_ten_step_staircase_525(system: str, step: float) -> None:
    """Ten equal steps from black to white are 9.25 IRE each with setup and 10 without (computed from SMPTE 170M)."""
    levels = scale("480i", system)
    stairs = [levels.ire(Fraction(255 * n, 10)) for n in range(11)]
    assert {float(b - a) for a, b in pairwise(stairs)} == {step}


def test_ten_step_staircase_625() -> None:
    """Ten equal steps are 70 mV each on the 700 mV scale (computed from BT.470-5)."""
    levels = scale("576i", "PAL")
    assert [levels.millivolts(Fraction(255 * n, 10)) for n in range(11)] == [70 * n for n in range(11)]


def test_burst() -> None:
    """Burst is 40 IRE of 1/140 V (SMPTE 170M) or 300 mV (BT.470-5) peak to peak, and none in mono."""
    assert scale("480i", "NTSC").millivolts_to_ire(scale("480i", "NTSC").burst) == 40
    assert scale("576i", "PAL").burst == 300
    assert scale("480i", "mono").burst == scale("576i", "mono").burst == 0


@pytest.mark.parametrize(
    ("name", "system", "sync", "blanking", "white"),
    [("480i", "NTSC-J", 16, 240, 800), ("576i", "PAL", 4, 256, 844)],
)
def test_ten_bit_composite_codes(name: str, system: str, sync: int, blanking: int, white: int) -> None:
    """Sync, blanking and white stand in the ratio of the 10-bit codes of SMPTE 244M and EBU Tech 3280."""
    levels = scale(name, system)
    assert levels.sync / levels.white == Fraction(sync - blanking, white - blanking)


@given(st.sampled_from(PAIRS), st.integers(0, 255))
def test_code_and_level_and_back(pair: tuple[str, str], code: int) -> None:
    """A code's level leads back to the code, exactly, in IRE and by way of millivolts."""
    levels = scale(*pair)
    assert levels.code(levels.ire(code)) == code
    assert levels.nearest_code(levels.millivolts_to_ire(levels.millivolts(code))) == code


def test_nearest_code_takes_halves_up() -> None:
    """A level half-way between two codes goes to the upper one, whatever the parity."""
    levels = scale("576i", "PAL")
    assert [levels.nearest_code(levels.ire(Fraction(n, 2))) for n in (1, 3, 5)] == [1, 2, 3]


@pytest.mark.parametrize("ire", [0, Fraction(73, 10), Fraction(1003, 10), -40])
def test_no_code_below_black_or_above_white(ire: Fraction) -> None:
    """A level that no code reaches is refused with the range, since a frame buffer has nothing below black."""
    with pytest.raises(Refused, match=r"they go from 7\.5 to 100"):
        scale("480i", "NTSC").nearest_code(ire)


def test_system_must_fit() -> None:
    """A scale is not given for a system that the format cannot carry."""
    with pytest.raises(Refused, match="does not go with 576i"):
        scale("576i", "NTSC")
