"""The dose of each zone, and the shifts that spread it."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appliance.activities.dose import SHIFT_TIME, Dose, neighbours, shift

WHITE, BLACK = (1.0,) * 9, (0.0,) * 9
CENTRE = (0, 0, 0, 0, 1, 0, 0, 0, 0)


def test_an_hour_of_white_is_one() -> None:
    """The unit, by its definition; black adds nothing."""
    dose = Dose().after(WHITE, 3600).after(BLACK, 10_000)
    assert dose.white_hours == pytest.approx((1.0,) * 9)
    assert dose.leads() == ()


@given(st.lists(st.tuples(st.lists(st.floats(0, 1), min_size=9, max_size=9), st.floats(0, 30_000)), max_size=30))
def test_doses_add_up(shown: list[tuple[list[float], float]]) -> None:
    """Light × time over everything shown, in whatever pieces."""
    dose = Dose()
    for light, seconds in shown:
        dose = dose.after(light, seconds / 2).after(light, seconds / 2)
    for zone in range(9):
        assert dose.white_hours[zone] == pytest.approx(sum(light[zone] * time for light, time in shown) / 3600)


def test_a_zone_that_leads_its_neighbours_by_one() -> None:
    """An hour of a white centre on black: the centre leads, at exactly one, and nothing sooner."""
    assert Dose().after(CENTRE, 3599).leads() == ()
    (lead,) = Dose().after(CENTRE, 3600).leads()
    assert (lead.zone, lead.white_hours) == (5, 1.0)
    assert lead.beside in (2, 4, 6, 8)


def test_neighbours_share_a_side() -> None:
    """A corner has two, an edge three, the centre four, and each is its neighbours' neighbour."""
    assert [len(neighbours(zone)) for zone in range(1, 10)] == [2, 3, 2, 3, 4, 3, 2, 3, 2]
    assert all(zone in neighbours(other) for zone in range(1, 10) for other in neighbours(zone))


@pytest.mark.parametrize(
    ("light", "seconds"), [((0.5,) * 8, 1), ((0.5,) * 10, 1), ((1.1,) * 9, 1), (WHITE, -1), (WHITE, float("nan"))]
)
def test_what_is_no_light_or_no_time(light: tuple[float, ...], seconds: float) -> None:
    """Eight zones, more than white, time that goes back: refused, so that no dose is quietly wrong."""
    with pytest.raises(ValueError, match="wanted"):
        Dose().after(light, seconds)


def test_a_still_picture_goes_round_four_places() -> None:
    """One cell at a time, as long in each place, back after four."""
    places = [shift(n * SHIFT_TIME) for n in range(9)]
    assert places[:4] == places[4:8]
    assert len(set(places[:4])) == 4
    assert all(abs(a[0] - b[0]) + abs(a[1] - b[1]) == 1 for a, b in pairwise(places))
    assert shift(SHIFT_TIME - 0.01) == shift(-5) == (0, 0)
