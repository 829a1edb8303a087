"""What clean edges mean: short, held, repeated and paired presses. One table says it all; time is handed in."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum, auto
from typing import Literal

from appliance.presses.edges import BACK, DIGITS, FORWARD, GO, NOTE, VARY, Edge
from appliance.presses.press import Kind, Press

HOLD = 1.0
"""Seconds until go, vary or note is held."""
STUCK = 30.0
"""Seconds after which a key still down is taken for a stuck one: it falls silent and no longer stands in the way."""
FIRST_REPEAT = 0.5
STEADY = 0.5
GROWING = ((1.5, 0.25), (3.0, 0.125), (float("inf"), 0.0625))
"""Seconds held so far below which a repeat follows after so many seconds: quicker the longer."""
PAIRS = {frozenset({GO, NOTE}): ("go+note", 3.0), frozenset({GO, VARY}): ("go+vary", 2.0)}
"""Two keys → the pair's name and how many seconds both are held."""

Repeat = Literal["steady", "growing"]


class Sort(Enum):
    """How a key speaks."""

    STEP = auto()  # on the edge down, and again while held
    PLAIN = auto()  # on the edge down
    ACT = auto()  # on release, or after a second
    MUTE = auto()  # a key of no meaning: it only touches


class State(Enum):
    """Where a key stands."""

    UP = auto()
    FRESH = auto()  # down, and its single meaning may still come
    DONE = auto()  # down, its single meaning given or cancelled; may still be half of a pair
    SPENT = auto()  # down, and without any meaning until released
    STUCK = auto()  # down for so long that it is no longer counted


class Event(Enum):
    """What can happen to a key."""

    DOWN = auto()  # it goes down alone
    JOIN = auto()  # it goes down while another is down
    BEGIN = auto()  # right after DOWN, unless it was spent in between
    OTHER = auto()  # another goes down
    TIME = auto()  # its hold or repeat time is up
    RELEASE = auto()
    SPEND = auto()
    OVERDUE = auto()


SORTS = {FORWARD: Sort.STEP, BACK: Sort.STEP, GO: Sort.ACT, VARY: Sort.ACT, NOTE: Sort.ACT} | dict.fromkeys(
    DIGITS, Sort.PLAIN
)

ANY: dict[tuple[State, Event], tuple[State, Kind | None]] = {
    (State.UP, Event.DOWN): (State.FRESH, Kind.TOUCH),
    (State.UP, Event.JOIN): (State.DONE, Kind.TOUCH),
    (State.FRESH, Event.OTHER): (State.DONE, None),
    (State.FRESH, Event.RELEASE): (State.UP, None),
    (State.DONE, Event.RELEASE): (State.UP, None),
    (State.SPENT, Event.RELEASE): (State.UP, None),
    (State.STUCK, Event.RELEASE): (State.UP, None),
    (State.FRESH, Event.SPEND): (State.SPENT, None),
    (State.DONE, Event.SPEND): (State.SPENT, None),
    (State.FRESH, Event.OVERDUE): (State.STUCK, None),
    (State.DONE, Event.OVERDUE): (State.STUCK, None),
    (State.SPENT, Event.OVERDUE): (State.STUCK, None),
}
"""Transitions of every key: state, event → state, what is said. What stands in neither table changes nothing."""

OWN: dict[tuple[Sort, State, Event], tuple[State, Kind | None]] = {
    (Sort.STEP, State.FRESH, Event.BEGIN): (State.FRESH, Kind.SHORT),
    (Sort.STEP, State.FRESH, Event.TIME): (State.FRESH, Kind.REPEAT),
    (Sort.PLAIN, State.FRESH, Event.BEGIN): (State.DONE, Kind.SHORT),
    (Sort.ACT, State.FRESH, Event.RELEASE): (State.UP, Kind.SHORT),
    (Sort.ACT, State.FRESH, Event.TIME): (State.DONE, Kind.HELD),
}
"""What a sort of key does otherwise, or besides."""

COUNTED = (State.FRESH, State.DONE, State.SPENT)


def transition(sort: Sort, state: State, event: Event) -> tuple[State, Kind | None]:
    """The next state, and what is said on the way, of a key of ``sort``."""
    return OWN.get((sort, state, event)) or ANY.get((state, event), (state, None))


@dataclass
class _Key:
    sort: Sort
    state: State = State.UP
    since: float = 0.0


class Grammar:
    """Clean edges in, presses out.

    Of all keys at most one is fresh, since a second one going down cancels the single meaning of both; so there is
    one alarm, the fresh key's or the pair's, and one time a key after which it is taken for stuck.
    ``repeat`` may be set at any time: ``"steady"``, twice a second, where each press changes the whole picture;
    ``"growing"``, quicker the longer, where a mark moves.
    """

    def __init__(self, repeat: Repeat = "steady") -> None:
        """Start with every key up."""
        self.repeat: Repeat = repeat
        self._keys: dict[str, _Key] = {}
        self._alarm: float | None = None

    def edge(self, edge: Edge) -> list[Press]:
        """Everything a clean edge means, and what came due before it; a TOUCH first for an edge down."""
        return list(self.meanings(edge))

    def meanings(self, edge: Edge) -> Iterator[Press]:
        """As :meth:`edge`, one by one: a :meth:`spend` after the TOUCH keeps the rest from coming."""
        yield from self.tick(edge.at)
        key = self._keys.setdefault(edge.key, _Key(SORTS.get(edge.key, Sort.MUTE)))
        if edge.down and key.state is State.UP:
            yield from self._down(edge, key)
        elif not edge.down:
            self._alarm = None if key.state in COUNTED else self._alarm
            yield from self._happen(edge.key, Event.RELEASE, edge.at)

    def tick(self, now: float) -> list[Press]:
        """What came due by ``now``; however late, a repeat comes once, and the next a whole interval after it."""
        presses = self._ring(now) if self._alarm is not None and self._alarm <= now else []
        for name, key in self._keys.items():
            if key.state in COUNTED and key.since + STUCK <= now:
                self._alarm = None
                presses += self._happen(name, Event.OVERDUE, now)
        return presses

    def due(self) -> float | None:
        """When :meth:`tick` is next needed, in seconds of the monotonic clock; None while every key is up or stuck."""
        stuck = [key.since + STUCK for key in self._keys.values() if key.state in COUNTED]
        return min([*stuck, *([] if self._alarm is None else [self._alarm])], default=None)

    def spend(self) -> None:
        """Take every further meaning from what is now down, until it is released; TOUCH alone still comes."""
        self._alarm = None
        for name in self._keys:
            self._happen(name, Event.SPEND, 0.0)

    def held(self, key: str) -> bool:
        """Whether the key is down, whatever it still means."""
        return key in self._keys and self._keys[key].state is not State.UP

    def stuck(self) -> tuple[str, ...]:
        """The keys taken for stuck: down for more than half a minute."""
        return tuple(name for name, key in self._keys.items() if key.state is State.STUCK)

    def _happen(self, name: str, event: Event, at: float) -> list[Press]:
        key = self._keys[name]
        key.state, kind = transition(key.sort, key.state, event)
        return [] if kind is None else [Press(kind, name, at)]

    def _counted(self) -> frozenset[str]:
        return frozenset(name for name, key in self._keys.items() if key.state in COUNTED)

    def _down(self, edge: Edge, key: _Key) -> Iterator[Press]:
        key.since, before = edge.at, self._counted()
        for other in before:
            self._happen(other, Event.OTHER, edge.at)
        said = self._happen(edge.key, Event.JOIN if before else Event.DOWN, edge.at)
        self._alarm = self._first_alarm(edge.at, before | {edge.key})
        yield from said
        yield from self._happen(edge.key, Event.BEGIN, edge.at)

    def _first_alarm(self, at: float, down: frozenset[str]) -> float | None:
        """The alarm set by a key going down: the fresh one's, or the pair's if just its two keys are down, unspent."""
        if len(down) == 1:
            waits = {Sort.STEP: FIRST_REPEAT, Sort.ACT: HOLD}
            (name,) = down
            wait = waits.get(self._keys[name].sort)
            return None if wait is None else at + wait
        unspent = all(self._keys[name].state is State.DONE for name in down)
        return at + PAIRS[down][1] if down in PAIRS and unspent else None

    def _ring(self, now: float) -> list[Press]:
        """The alarm rang: for the pair, or for the one fresh key."""
        self._alarm = None
        if (pair := PAIRS.get(self._counted())) is not None:
            self.spend()
            return [Press(Kind.PAIR, pair[0], now)]
        (name,) = self._counted()
        said = self._happen(name, Event.TIME, now)
        if self._keys[name].state is State.FRESH:
            self._alarm = now + self._interval(now - self._keys[name].since)
        return said

    def _interval(self, held: float) -> float:
        return STEADY if self.repeat == "steady" else next(wait for below, wait in GROWING if held < below)
