"""Where a soak is at a time, in seconds and in exact fields."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appliance.activities.soak_clock import SoakClock
from appliance.activities.soak_plan import Phase, clock
from appliance.video.formats import FORMATS
from tests.activities.soaked import SOAK, a_soak

RATES = {
    "240p": Fraction(13_500_000, 858 * 262),
    "480i": Fraction(13_500_000 * 2, 858 * 525),
    "288p": Fraction(13_500_000, 864 * 312),
    "576i": Fraction(13_500_000 * 2, 864 * 625),
}
"""Fields a second: samples and lines of ITU-R BT.601-7 and BT.1700, whole lines in each field of the progressive."""

lengths = st.lists(st.integers(10, 4000), min_size=1, max_size=80)


def made(seconds: list[int]) -> list[Phase]:
    """Phases of these lengths."""
    return [Phase("pan", "slow", length, moving=True) for length in seconds]


@given(lengths, st.sampled_from(list(RATES)))
def test_phase_ends_in_fields_are_exact(seconds: list[int], name: str) -> None:
    """Each end is within half a field of its exact rational time, at whatever place: nothing adds up."""
    ends = a_soak(*made(seconds)).end_fields(FORMATS[name].field_rate)
    for n, end in enumerate(ends, 1):
        assert abs(sum(seconds[:n]) * RATES[name] - end) <= Fraction(1, 2)


@given(lengths, st.floats(-10, 330_000))
def test_the_phase_at_a_time(seconds: list[int], elapsed: float) -> None:
    """The first whose end is still to come, found here by adding up."""
    soak = a_soak(*made(seconds))
    index = next((n for n in range(len(seconds)) if sum(seconds[: n + 1]) > elapsed), len(seconds) - 1)
    assert soak.phase_at(elapsed) == index
    assert soak.total == sum(seconds)
    assert soak.start(index) == sum(seconds[:index])


@given(st.lists(st.floats(0.1, 200), min_size=1, max_size=30))
def test_a_clock_that_stands_and_runs_loses_nothing(gaps: list[float]) -> None:
    """Time that ran in pieces is their sum; time it stood counts nothing."""
    soak_clock, now, ran = SoakClock(a_soak(*made([100_000])), RATES["240p"]), 5.0, 0.0
    for n, gap in enumerate(gaps):
        if n % 2 == 0:
            soak_clock.run(now)
            soak_clock.stop(now + gap)
            ran += gap
        now += gap
        assert soak_clock.elapsed(now) == pytest.approx(ran)


def test_a_stamp_of_another_picture_does_not_move_the_clock() -> None:
    """Only the picture waited for counts, once, and not when it is far off its time."""
    soak_clock = SoakClock(SOAK, RATES["240p"])
    soak_clock.run(10.0)
    assert not soak_clock.up("white", 10.3)
    assert soak_clock.up("pan", 10.3)
    assert not soak_clock.up("pan", 11.0)
    assert soak_clock.elapsed(20.3) == pytest.approx(10.0)
    soak_clock.stop(20.3)
    soak_clock.run(30.0)
    assert soak_clock.up("pan", 40.0)
    assert soak_clock.elapsed(31.0) == pytest.approx(11.0)


def test_a_standing_clock_has_no_end() -> None:
    """What is due is asked of a running one only."""
    with pytest.raises(ValueError, match="run it first"):
        SoakClock(SOAK, RATES["240p"]).over_at()


def test_hours_and_minutes() -> None:
    """As people write them, the begun minute left out."""
    assert [clock(seconds) for seconds in (0, 59.9, 60, 3599, 4320, 28_800)] == [
        "0:00", "0:00", "0:01", "0:59", "1:12", "8:00",
    ]  # fmt: skip
