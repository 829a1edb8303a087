"""A whole viewing by thumb: twenty scripted visits along the route that ships, their presses counted."""

import pytest

from appliance.activities.viewing_plan import WARMTHS
from appliance.activities.viewing_record import Noted
from tests.activities.budget import GUIDE, SCRIPTS, Walk

WALKS = {n: Walk(script, pad=bool(n % 2)).run() for n, script in enumerate(SCRIPTS)}


@pytest.mark.parametrize("n", WALKS)
def test_presses(n: int) -> None:
    """At most twenty when nothing is found, forty with five findings, from the card until the visit is over."""
    walk = WALKS[n]
    assert len(walk.script) in (0, 5)
    assert walk.visit.presses <= (40 if walk.script else 20)


def test_to_say_cold_is_one_press_and_warm_two() -> None:
    """A clean viewing stays within twenty with either said."""
    clean = WALKS[0].visit.presses
    for presses, warmth in enumerate(WARMTHS, 1):
        said = Walk((), pad=False, warmth=warmth).run().visit
        assert (said.presses - clean, said.card.warmth) == (presses, warmth)
        assert said.presses <= 20


@pytest.mark.parametrize("n", WALKS)
def test_what_was_noted_is_on_the_card(n: int) -> None:
    """Each finding of the script as it was meant, and every step looked at."""
    walk = WALKS[n]
    notes = [(note.step, note.kind, note.severity, note.zone) for note in walk.visit.card.notes.values()]
    assert notes == list(walk.script)
    assert all(isinstance(note, Noted) for note in walk.visit.card.notes.values())
    assert walk.visit.card.marks == dict.fromkeys(range(1, len(GUIDE.route.steps) + 1), "looked")
    assert walk.visit.card.ended == "23 of 23 steps looked at"


def test_twenty_visits() -> None:
    """With and without a pad, clean and not."""
    assert len(WALKS) == 20
    assert sum(not walk.script for walk in WALKS.values()) == 5


def test_times_by_the_keystroke_model() -> None:
    """Estimates: about four minutes clean, no more than eight with findings, of which the thumb takes one at most."""
    for walk in WALKS.values():
        minutes = walk.visit.now / 60
        assert minutes <= (8 if walk.script else 4.5)
        assert walk.hand <= 60
