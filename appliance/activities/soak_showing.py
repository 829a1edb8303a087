"""What a soak shows in each state: picture, words and lamps."""

from typing import NamedTuple

from appliance.activities.blink import DARK, LIT, Blink, second_blink, slow_blink
from appliance.activities.showing import Caption, Showing, Signals
from appliance.activities.soak_look import Look
from appliance.activities.soak_plan import Soak
from appliance.activities.soak_table import State
from appliance.activities.soak_words import TOO_HOT, lines, pages, progress

DIM, BLACK = ("grey", "10"), ("black", "0")

_CALLING = frozenset({State.CUT, State.ABSENT, State.OFFERED, State.RESTING, State.WAITING})
_TIMED = frozenset({State.WARMING, State.RUNNING, State.RESTING})
_DARK = frozenset({State.CAUTION, State.BLACK, State.RESTING, State.WAITING, State.DONE, State.OVER})


class Facts(NamedTuple):
    """Where a soak is: the phase's number from 0, ``told`` seconds of its time, the monotonic time ``since`` which
    it is in its state.

    ``due_look``: the minute of a look not yet taken. ``waits``: a menu was opened while the soak waited. ``kind``:
    the menu's observation. ``page``: that of the cautions. ``words``: the progress is up. ``high``: where words go.
    ``hot``: it waits for the box to cool.
    """

    state: State
    soak: Soak
    number: int
    told: float
    since: float
    look: Look | None = None
    due_look: int | None = None
    waits: bool = False
    kind: int = 0
    page: int = 0
    words: bool = False
    high: bool = False
    hot: bool = False


def showing(facts: Facts) -> Showing:
    """Picture, words and lamps."""
    moving = facts.state is State.RUNNING and facts.soak.phases[facts.number].moving and not facts.words
    signals = Signals(running=_running(facts), attention=_attention(facts))
    return Showing(*_picture(facts), moving, _caption(facts), signals=signals)


def call_blink(since: float) -> Blink:
    """Half a second lit, half dark: the box calls for somebody."""
    return Blink((0.5, 0.5), since)


def _picture(facts: Facts) -> tuple[str, str]:
    if facts.state is State.LOOKING and facts.look:
        return facts.look.item.pattern, facts.look.item.variant
    phase = facts.soak.phases[facts.number]
    asks = facts.state in (State.NOTING, State.ENDING) and not facts.waits and not phase.bright
    if asks or facts.state in (State.RUNNING, State.OFFERED):
        return phase.pattern, phase.variant
    return BLACK if facts.state in _DARK else DIM


def _running(facts: Facts) -> Blink:
    if facts.state is State.DONE:
        return LIT
    return second_blink(facts.since) if facts.state in _TIMED else DARK


def _attention(facts: Facts) -> Blink:
    if facts.state in (State.BLACK, State.PAUSED):
        return slow_blink(facts.since)
    due = facts.state is State.RUNNING and facts.due_look is not None
    return call_blink(facts.since) if due or facts.state in _CALLING else DARK


def _caption(facts: Facts) -> Caption | None:
    if facts.state is State.LOOKING:
        return facts.look.caption if facts.look else None
    said = _lines(facts)
    return Caption(said, facts.high) if said else None


def _lines(facts: Facts) -> tuple[str, ...]:
    if facts.state is State.CAUTION:
        return pages(facts.soak)[facts.page]
    if facts.state is State.RUNNING:
        return progress(facts.soak, facts.told, facts.number, facts.due_look) if facts.words else ()
    if facts.state is State.OFFERED:
        return f"Look at {facts.due_look} min: press go", "forward: not now"
    if facts.hot:
        return TOO_HOT
    return lines(facts.state, facts.soak, facts.told, facts.number, facts.kind)
