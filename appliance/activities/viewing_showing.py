"""What a viewing shows in each state: picture, words and lamps."""

from typing import NamedTuple

from appliance.activities.blink import DARK, LIT, Blink, second_blink, slow_blink
from appliance.activities.showing import BLACK, Caption, Code, Showing, Signals
from appliance.activities.soak_showing import call_blink
from appliance.activities.viewing_plan import Page, Sort, Step
from appliance.activities.viewing_table import State

FIRST = ("grey", "50")
"""Stands under the opening card: what a set that is switched on cold should show first."""
DIM = ("grey", "25")

DARK_STATES = frozenset({State.BLACKING, State.BLACK, State.DANGER})
SPEAKING = frozenset({State.STEP, State.READY, State.ASKED, State.BLACK, State.DANGER, State.END, State.CARD})
"""Where what was kept is told; elsewhere it would hide what is asked, or stop what moves."""


class Facts(NamedTuple):
    """Where a viewing is. ``step`` is None at the card; ``variant`` is that of its picture now. ``page``: the words of
    the state. ``message``: words that go before them. ``timing``, ``done``: the step's seconds run, or are over.
    ``since``: when the state began.
    """

    state: State
    number: int
    step: Step | None
    variant: str
    page: Page | None
    message: tuple[str, ...]
    high: bool
    timing: bool
    done: bool
    since: float
    code: Code | None = None


def showing(facts: Facts) -> Showing:
    """Picture, words and lamps."""
    moving = facts.state in (State.MOVING, State.FLASHING)
    signals = Signals(running=_running(facts), attention=_attention(facts))
    large = str(facts.number) if facts.number and facts.state is State.CARD else ""
    sound = facts.step.sound if facts.step and facts.state is State.STEP else ""
    return Showing(
        *_picture(facts), moving, _caption(facts), signals=signals, sound=sound, large=large, code=facts.code
    )


def _picture(facts: Facts) -> tuple[str, str]:
    if facts.state in DARK_STATES or facts.state is State.ASKED:
        return BLACK
    if facts.state in (State.CUT, State.END, State.CODE, State.SPARED, State.OVER, State.ENDING):
        return DIM
    if facts.state is State.CARD or facts.step is None:
        return FIRST
    return facts.step.pattern, facts.step.dimmed if facts.step.sort is Sort.LOAD else facts.variant


def _caption(facts: Facts) -> Caption | None:
    said = facts.message if facts.message and facts.state in SPEAKING else facts.page
    return Caption(tuple(line for line in said if line), facts.high) if said else None


def _running(facts: Facts) -> Blink:
    if facts.done:
        return LIT
    return second_blink(facts.since) if facts.timing else DARK


def _attention(facts: Facts) -> Blink:
    if facts.state in (State.CUT, State.DANGER):
        return call_blink(facts.since)
    return slow_blink(facts.since) if facts.state in DARK_STATES else DARK
