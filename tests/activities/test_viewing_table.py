"""The viewing is walked from its table: each row taken, every other cue refused."""

import pytest

from appliance.activities.viewing import State, Viewing
from tests.activities.test_tables import KEY_CUES
from tests.activities.viewed import GUIDE, Visit

STEP = ("go to still",)
WAYS: dict[str, tuple[str, ...]] = {
    State.CUT: (),
    State.CARD: (),
    State.STEP: STEP,
    State.READY: ("go to moving",),
    State.MOVING: ("go to moving", "go"),
    State.FLASHING: ("go to moving", "go flashing"),
    State.ASKED: ("go to load",),
    State.LOAD: ("go to load", "loaded"),
    State.BLACKING: ("go to load", "loaded", "touch"),
    State.BLACK: ("go to load", "loaded", "touch", "settled"),
    State.NOTING: (*STEP, "note"),
    State.ZONE: (*STEP, "note", "go held"),
    State.DANGER: (*STEP, "vary held"),
    State.ENDING: (*STEP, "go held"),
    State.END: (*STEP, "go held", "go"),
    State.CODE: (*STEP, "go held", "go", "note"),
    State.SPARED: (*STEP, "go held", "go", "note", "rest over"),
    State.OVER: (*STEP, "go held", "go", "go last"),
}
"""How each state is reached from the card, by cues."""


def arrive(state: str) -> Viewing:
    """A viewing led to ``state`` by its cues."""
    visit = Visit()
    if state is State.CUT:
        visit.restart()
    for cue in WAYS[state]:
        assert visit.viewing.cue(cue, 0.0)
    assert visit.viewing.state == state
    return visit.viewing


ROWS = [(state, cue) for state, cues in Viewing.table.items() for cue in cues]
OWN = {cue for cues in Viewing.table.values() for cue in cues}


@pytest.mark.parametrize("state", list(State))
def test_each_row_leads_where_it_says(state: State) -> None:
    """A cue of the table is taken, leads to the state that its row names, and what is shown then can be said."""
    for cue, move in Viewing.table[state].items():
        viewing = arrive(state)
        assert viewing.cue(cue, 1.0), cue
        assert viewing.state == move.to, cue
        viewing.showing()


@pytest.mark.parametrize("state", list(State))
def test_everything_else_is_refused(state: State) -> None:
    """A cue that the table lacks changes neither the state nor the timers."""
    viewing = arrive(state)
    for cue in (OWN | set(KEY_CUES)) - set(Viewing.table[state]):
        before = (viewing.state, dict(viewing.timers))
        assert not viewing.cue(cue, 1.0)
        assert (viewing.state, viewing.timers) == before, cue


def test_every_state_is_in_the_table_and_is_reached() -> None:
    """No state is left out of the table or of these walks."""
    assert set(Viewing.table) == set(State) == set(WAYS)


def test_danger_and_taking_back_have_a_row_wherever_a_person_can_be() -> None:
    """vary held in each state but the last; note held wherever something may just have been noted."""
    assert all("vary held" in Viewing.table[state] for state in State if state is not State.OVER)
    noting = {State.STEP, State.READY, State.ASKED, State.BLACK, State.NOTING, State.ZONE, State.DANGER, State.END}
    assert all({"note held", "note held to still"} & set(Viewing.table[state]) for state in noting)


def test_every_row_is_named_by_a_cue_that_can_come() -> None:
    """Keys, timers, the screen, the sorts of steps: a row that nothing gives would be dead."""
    given = {
        *(f"{key}{held}" for key in ("forward", "back", "go", "vary", "note") for held in ("", " held")),
        "digit", "touch", "turn", "swap", "message over", "words over", "rest over", "time up", "screen lost",
        "settled", "loaded", "went black", "go flashing", "go danger", "go more", "go last", "vary moving",
        "go unread", "no code",
    }  # fmt: skip
    led = {cue for cue in OWN if " to " in cue}
    assert OWN - led == given - {"digit held", "forward held", "back held"}
    assert {cue.split(" to ")[0] for cue in led} <= given | {"time over", "given up"}
    assert GUIDE.route.steps
