"""What is remembered is written seldom, and never while it still changes."""

import logging

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appliance.activities.box import Place
from appliance.activities.troubles import Trouble
from appliance.service.keeper import SETTLE, Keeper
from appliance.settings.tree import Choice

NTSC = Choice("240p", "NTSC")
PLACES = [Place(NTSC, "white", "25"), Place(NTSC, "red", "100"), Place(Choice("576i", "PAL"), "red", "100")]


class Card:
    """Takes what is written, or says no."""

    def __init__(self) -> None:
        self.written: list[Place] = []
        self.full = False

    def write(self, place: Place) -> None:
        """As the keeper's."""
        if self.full:
            raise OSError(28, "No space left on device")
        self.written.append(place)


def test_a_place_is_written_once_it_has_stood() -> None:
    """Not before, and only once."""
    card = Card()
    keeper = Keeper(card.write, None)
    keeper.keep(PLACES[0], 5.0)
    assert (keeper.due(), card.written) == (5.0 + SETTLE, [])
    keeper.keep(PLACES[0], 5.0 + SETTLE)
    keeper.keep(PLACES[0], 50.0)
    assert (keeper.due(), card.written) == (None, [PLACES[0]])


def test_what_is_kept_already_costs_no_writing() -> None:
    """A start at the remembered place, and a way out and back, write nothing."""
    card = Card()
    keeper = Keeper(card.write, PLACES[0])
    for now, place in enumerate([PLACES[0], PLACES[1], PLACES[0], PLACES[0], PLACES[0]]):
        keeper.keep(place, now / 2)
    assert (keeper.due(), card.written) == (None, [])


def test_a_full_card_is_told_once_and_tried_at_the_next_change(caplog: pytest.LogCaptureFixture) -> None:
    """A lamp code while it lasts; no flood of log lines, no loop of tries; gone with the first success."""
    card = Card()
    keeper = Keeper(card.write, None)
    card.full = True
    with caplog.at_level(logging.ERROR):
        for now in range(10):
            keeper.keep(PLACES[0], now)
    assert keeper.current == Trouble.KEEPING
    assert [record.levelname for record in caplog.records] == ["ERROR"]
    assert "No space left" in caplog.text
    assert keeper.due() is None
    card.full = False
    keeper.keep(PLACES[1], 20)
    keeper.keep(PLACES[1], 22)
    trouble: Trouble | None = keeper.current
    assert trouble is None
    assert card.written == [PLACES[1]]


@given(st.lists(st.tuples(st.sampled_from(PLACES), st.floats(0, 3))))
def test_only_places_that_stood_are_written_and_never_twice_running(moves: list[tuple[Place, float]]) -> None:
    """However it is stepped about; waiting out what is due always brings the last place to the card."""
    card, now = Card(), 0.0
    keeper = Keeper(card.write, None)
    for place, stay in moves:
        keeper.keep(place, now)
        before = len(card.written)
        keeper.keep(place, now + stay)
        assert len(card.written) - before <= 1
        now += stay
    if moves:
        while (due := keeper.due()) is not None:
            keeper.keep(moves[-1][0], max(now, due))
        assert card.written[-1] == moves[-1][0]
    assert all(a != b for a, b in zip(card.written, card.written[1:], strict=False))
