"""Field reckoning: exact numbers, and counting from the stamps of unkind clocks."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appliance.video.fields import FieldCount, fields_between, fields_for, time_of_field
from appliance.video.formats import FORMATS, Format

FORMAT = st.sampled_from(list(FORMATS.values()))
P240 = FORMATS["240p"]


@pytest.mark.parametrize(
    ("name", "duration", "fields"),
    [
        ("240p", 10, 601),  # 600.5445 fields of 262 lines
        ("480i", 10, 600),  # 599.4006
        ("480i", Fraction(1001, 60), 1000),  # exactly 1000 fields of 60000/1001 a second
        ("288p", 10, 501),  # 500.8013
        ("576i", 10, 500),  # 50 a second, exactly
        ("576i", 0.1, 5),  # a tenth, although the float is a little more
        ("576i", 0.02, 1),
        ("576i", 0.0201, 2),
        ("240p", 0, 0),
        ("240p", 1e-9, 1),
    ],
)
def test_fields_for_a_duration(name: str, duration: float | Fraction, fields: int) -> None:
    """A time is rounded up to whole fields of the exact rate (rates of BT.470-5; 262 and 312 lines computed)."""
    assert fields_for(FORMATS[name], duration) == fields


@given(FORMAT, st.fractions(0, 3600))
def test_fields_for_is_the_least_that_suffices(fmt: Format, duration: Fraction) -> None:
    """So many fields last as long as asked for, and one fewer would not."""
    fields = fields_for(fmt, duration)
    assert time_of_field(fmt, fields) >= duration
    assert fields == 0 or time_of_field(fmt, fields - 1) < duration


@pytest.mark.parametrize("duration", [-1, -0.001, float("inf"), float("nan")])
def test_no_fields_for_nonsense(duration: float) -> None:
    """A negative, endless or missing time is the caller's mistake."""
    with pytest.raises(ValueError, match=r"negative|literal"):
        fields_for(P240, duration)


def test_time_of_field() -> None:
    """1 125 000 fields of 240p take exactly 18 733 s, and 50 of 576i exactly 1 s."""
    assert time_of_field(P240, 1_125_000) == 18_733
    assert time_of_field(FORMATS["576i"], 50) == 1


@given(FORMAT, st.floats(0, 1e6), st.integers(-10_000_000, 10_000_000), st.floats(-0.49, 0.49))
def test_fields_between_stamps(fmt: Format, start: float, fields: int, jitter: float) -> None:
    """Stamps off by less than half a field give the true number, over two days of fields and late in an uptime."""
    end = start + float((fields + Fraction(jitter)) * fmt.field_time)
    assert fields_between(fmt, start, end) == fields


def stamps(fmt: Format, numbers: list[int], start: float = 1234.5) -> list[float]:
    """Exact stamps of the fields ``numbers``."""
    return [start + float(time_of_field(fmt, number)) for number in numbers]


def fed(count: FieldCount, times: list[float]) -> list[int]:
    """The numbers given for ``times``."""
    return [count.feed(time) for time in times]


@pytest.mark.parametrize("name", FORMATS)
def test_every_field_flipped(name: str) -> None:
    """A flip a field is counted from 0, and none is missed."""
    count = FieldCount(FORMATS[name])
    assert fed(count, stamps(FORMATS[name], list(range(300)))) == list(range(300))
    assert count.missed == 0


def test_nothing_counted_yet() -> None:
    """Before the first stamp there is no field and none is missed."""
    count = FieldCount(P240)
    assert (count.number, count.missed) == (0, 0)


def test_missed_fields() -> None:
    """Fields without a flip are numbered all the same and counted as missed."""
    count = FieldCount(P240)
    assert fed(count, stamps(P240, [0, 1, 2, 4, 5, 9])) == [0, 1, 2, 4, 5, 9]
    assert count.missed == 1 + 3


def test_flips_once_a_frame() -> None:
    """On a kernel that flips once a frame two fields go by a flip; only what is beyond that is missed."""
    fmt = FORMATS["480i"]
    count = FieldCount(fmt, step=2)
    assert fed(count, stamps(fmt, [0, 2, 4, 8])) == [0, 2, 4, 8]
    assert count.missed == 2


def test_a_still_picture_misses_nothing() -> None:
    """Fields under a still picture are counted by the stamp that ends it, and the counting of misses goes on after."""
    count = FieldCount(P240)
    fed(count, stamps(P240, [0, 1]))
    count.rest()
    assert fed(count, stamps(P240, [3605, 3606, 3608])) == [3605, 3606, 3608]
    assert count.missed == 1


def test_a_late_stamp_is_made_good() -> None:
    """A stamp more than half a field late counts one too many, and the next on time sets it right."""
    count = FieldCount(FORMATS["576i"])
    assert fed(count, [0.0, 0.032, 0.04, 0.06]) == [0, 2, 2, 3]
    assert count.missed == 0


def test_an_early_stamp_is_made_good() -> None:
    """A stamp more than half a field early counts none, and the next on time sets it right."""
    count = FieldCount(FORMATS["576i"])
    assert fed(count, [0.0, 0.009, 0.04, 0.06]) == [0, 0, 2, 3]
    assert count.missed == 0


def test_a_clock_set_back_counts_nothing() -> None:
    """A stamp before the last one counts no field, and the count goes on from there."""
    count = FieldCount(FORMATS["576i"])
    assert fed(count, [100.0, 100.02, 40.0, 40.02, 40.04]) == [0, 1, 1, 2, 3]


@given(FORMAT, st.lists(st.tuples(st.integers(1, 5), st.floats(-0.2, 0.2)), max_size=200), st.floats(-1e-4, 1e-4))
def test_jitter_and_drift(fmt: Format, flips: list[tuple[int, float]], drift: float) -> None:
    """With a fifth of a field of jitter and a clock off by 100 parts in a million every number and miss is right."""
    count, number, due = FieldCount(fmt), 0, 0
    count.feed(50_000.0)
    for gone, jitter in flips:
        number, due = number + gone, due + 1
        stamp = 50_000 + (number + jitter) * float(fmt.field_time) * (1 + drift)
        assert count.feed(stamp) == number
        assert count.missed == number - due


def test_eight_hours_with_a_clock_that_is_off() -> None:
    """Eight hours of flips against a clock 80 parts in a million fast lose no field: nothing adds up."""
    count, period = FieldCount(FORMATS["288p"]), float(FORMATS["288p"].field_time) * 1.00008
    fields = fields_for(FORMATS["288p"], 8 * 3600)
    for number in range(0, fields + 1, 100):
        count.rest()
        count.feed(7.0 + number * period)
    assert count.number == fields // 100 * 100
    assert count.missed == 0


def test_stamps_too_many_hide_one_miss_at_most() -> None:
    """Many flips stamped in one field, as from a driver that repeats itself, hide one later miss and no more."""
    count = FieldCount(FORMATS["576i"])
    fed(count, [0.0] * 50)
    assert fed(count, [0.02, 0.08, 0.1]) == [1, 4, 5]
    assert count.missed == 2 - 1
