"""Every activity is walked from its table: each row taken, every other cue refused."""

from collections.abc import Callable, Iterable

import pytest

from appliance.activities.box import Box
from appliance.activities.box import State as BoxState
from appliance.activities.past import Past
from appliance.activities.past import State as PastState
from appliance.activities.soak_table import State as SoakState
from appliance.activities.soaking import Soaking
from appliance.activities.stepping import State as StepState
from appliance.activities.stepping import Stepping
from appliance.activities.stress import State as StressState
from appliance.activities.stress import Stress
from appliance.activities.table import Machine
from appliance.video.formats import FORMATS
from tests.activities.invented import PATTERNS, a_box
from tests.activities.soaked import a_soaking


def a_stepping() -> Stepping:
    """Stepping, standing on the moving pattern, where most cues mean something."""
    stepping = Stepping(PATTERNS, 4)
    stepping.show("white", "100", 0)
    return stepping


def a_stress() -> Stress:
    """A white stress at its caution."""
    return Stress(10, 5, FORMATS["240p"], 0)


READ = ("black up", "read")

WAYS: dict[type[Machine], tuple[Callable[[], Machine], dict[str, tuple[str, ...]]]] = {
    Stepping: (
        a_stepping,
        {
            StepState.STANDING: (),
            StepState.WARNED: ("go with caution",),
            StepState.MOVING: ("go",),
            StepState.BLACKING: ("go", "touch while flashing"),
            StepState.BLACK: ("go", "touch while flashing", "settled"),
        },
    ),
    Stress: (
        a_stress,
        {
            StressState.ASKED: (),
            StressState.SHOWN: ("black up",),
            StressState.CAUTION: READ,
            StressState.ARMED: (*READ, "go"),
            StressState.FULL: (*READ, "go", "white up"),
            StressState.BLACKING: (*READ, "go", "touch"),
            StressState.BLACK: (*READ, "go", "touch", "settled"),
            StressState.PURITY: (*READ, "go", "white up", "counted"),
            StressState.OVER: ("back",),
        },
    ),
    Soaking: (
        a_soaking,
        {
            SoakState.CAUTION: (),
            SoakState.CUT: ("was cut",),
            SoakState.WARMING: ("go held",),
            SoakState.RUNNING: ("go held", "warm"),
            SoakState.BLACK: ("go held", "warm", "touch bright"),
            SoakState.PAUSED: ("go held", "warm", "go"),
            SoakState.ABSENT: ("go held", "warm", "absent"),
            SoakState.OFFERED: ("go held", "warm", "look due"),
            SoakState.LOOKING: ("go held", "warm", "vary"),
            SoakState.NOTING: ("go held", "warm", "note"),
            SoakState.ENDING: ("go held", "warm", "note held"),
            SoakState.RESTING: ("go held", "warm", "skip", "rest begins"),
            SoakState.WAITING: ("go held", "warm", "skip", "rest begins", "rest over"),
            SoakState.DONE: ("go held", "warm", "all over"),
            SoakState.OVER: ("note",),
        },
    ),
    Past: (
        lambda: Past(0.0),
        {PastState.ASKED: (), PastState.READING: ("answered",), PastState.OVER: ("go",)},
    ),
    Box: (
        a_box,
        {
            BoxState.STEPPING: (),
            BoxState.CARD: ("card",),
            BoxState.HOSTING: ("go timed",),
            BoxState.CHOOSING: ("go held",),
            BoxState.OFFERED: ("go+vary",),
            BoxState.BENEATH: ("go timed", "go+vary beneath"),
            BoxState.BLIND: ("vary at power-up",),
            BoxState.LEAVING: ("go+note",),
        },
    ),
}
"""How each state is reached from the start, by cues."""

KEY_CUES = [
    cue
    for key in ("forward", "back", "go", "vary", "note", "digit")
    for cue in (key, f"{key} held")
] + ["touch", "go+note", "go+vary", "go still", "go with caution", "go timed", "touch while flashing"]  # fmt: skip


def arrive(machine: type[Machine], state: str) -> Machine:
    """A machine led to ``state`` by its cues."""
    make, ways = WAYS[machine]
    instance = make()
    for cue in ways[state]:
        assert instance.cue(cue, 0.0)
    assert instance.state == state
    return instance


def rows() -> list[tuple[type[Machine], str, str]]:
    """Every row of every table."""
    return [(machine, state, cue) for machine in WAYS for state, cues in machine.table.items() for cue in cues]


def refusals() -> list[tuple[type[Machine], str, str]]:
    """Every state with every cue, of keys or of the machine's own, that its table lacks."""
    found = []
    for machine in WAYS:
        own = {cue for cues in machine.table.values() for cue in cues}
        for state, cues in machine.table.items():
            found += [(machine, state, cue) for cue in sorted(own | set(KEY_CUES)) if cue not in cues]
    return found


@pytest.mark.parametrize(("machine", "state", "cue"), rows())
def test_each_row_leads_where_it_says(machine: type[Machine], state: str, cue: str) -> None:
    """A cue of the table is taken and leads to the state that its row names."""
    instance = arrive(machine, state)
    assert instance.cue(cue, 1.0)
    assert instance.state == machine.table[state][cue].to


@pytest.mark.parametrize(("machine", "state", "cue"), refusals())
def test_everything_else_is_refused(machine: type[Machine], state: str, cue: str) -> None:
    """A cue that the table lacks changes neither the state nor the timers."""
    instance = arrive(machine, state)
    before = (instance.state, dict(instance.timers))
    assert not instance.cue(cue, 1.0)
    assert (instance.state, instance.timers) == before


WALKED = [(Stepping, StepState), (Stress, StressState), (Soaking, SoakState), (Box, BoxState)]


@pytest.mark.parametrize(("machine", "states"), WALKED)
def test_every_state_is_in_the_table_and_is_reached(machine: type[Machine], states: Iterable[str]) -> None:
    """No state is left out of the table or of these walks."""
    _, ways = WAYS[machine]
    assert set(machine.table) == set(states) == set(ways)
