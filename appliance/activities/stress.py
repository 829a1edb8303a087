"""The white stress: full white for a set time, counted in fields, then the purity fields.

Rules: the caution comes first and ``go`` starts. While the screen is full white, any key makes it black at once, and
it stays black until the next key. Only a full count goes on by itself, to red, green and blue.

The count begins with the field in which white was first scanned and ends with the one in which red was: both are
told by the screen's own stamps, so the count is what the set really saw.
"""

from enum import StrEnum
from fractions import Fraction
from math import ceil
from typing import ClassVar

from appliance.activities.blink import LIT, hurry_blink, second_blink, slow_blink
from appliance.activities.showing import Caption, Showing, Signals
from appliance.activities.table import Machine, Move, Table

WHITE = ("white", "100")
BLACK = ("black", "0")
PURITY = (("red", "100"), ("green", "100"), ("blue", "100"))


class State(StrEnum):
    """Caution on the screen; white asked for; white up and counted; black by a key; purity fields; over."""

    CAUTION = "caution"
    ARMED = "armed"
    FULL = "full"
    BLACK = "black"
    PURITY = "purity"
    OVER = "over"


_LEAVE = Move(State.OVER, "leave")
_PANIC = Move(State.BLACK, "go_black")
_KEYS = ("forward", "back", "vary", "note", "digit", "go held", "vary held", "note held")


class Stress(Machine):
    """One run. ``seconds`` of white at ``field_rate`` Hz, ``purity_time`` seconds for each purity field."""

    table: ClassVar[Table] = {
        State.CAUTION: {
            **dict.fromkeys(_KEYS, _LEAVE),
            "go": Move(State.ARMED, "arm"),
            "caution over": _LEAVE,
        },
        State.ARMED: {
            "touch": _PANIC,
            "white up": Move(State.FULL, "begin"),
            "never up": _PANIC,
            "screen lost": _PANIC,
        },
        State.FULL: {
            "touch": _PANIC,
            "screen lost": _PANIC,
            "second": Move(State.FULL, "count_down"),
            "counted": Move(State.PURITY, "go_on"),
        },
        State.BLACK: {"touch": _LEAVE},
        State.PURITY: {
            **dict.fromkeys((*_KEYS, "go"), _LEAVE),
            "red up": Move(State.PURITY, "close_count"),
            "next field": Move(State.PURITY, "next_field"),
            "last field over": _LEAVE,
        },
        State.OVER: {},
    }

    def __init__(self, seconds: int, purity_time: float, field_rate: Fraction, now: float) -> None:
        super().__init__(State.CAUTION)
        self.fields = ceil(seconds * field_rate)
        self.counted: int | None = None
        self.lead = PURITY[0]
        self._seconds, self._purity_time, self._rate = seconds, purity_time, field_rate
        self._purity, self._left, self._since = 0, seconds, now
        self._white_up = 0.0
        self.timers["caution over"] = now + 60

    def shown(self, pattern: str, stamp: float) -> None:
        """A picture went up at ``stamp``: the count begins with white's, ends with red's."""
        if self.state in (State.ARMED, State.PURITY):
            self.cue(f"{pattern} up", stamp)

    def showing(self) -> Showing:
        """Caution over black, full white with the seconds left, black, or a purity field."""
        match self.state:
            case State.ARMED | State.FULL:
                return Showing(*WHITE, count=str(self._left), signals=self._timing(), ahead=self._ahead())
            case State.BLACK:
                return Showing(*BLACK, signals=Signals(attention=slow_blink(self._since)))
            case State.PURITY:
                return Showing(*self.lead, signals=Signals(running=LIT))
            case _:
                return Showing(*BLACK, caption=Caption(self._caution()))

    def arm(self, now: float) -> None:
        """White is asked for; were it never to come up, black is the answer."""
        self.timers = {"never up": now + 2}
        self._since = now

    def begin(self, now: float) -> None:
        """White is up since ``now``: set the seconds and the end of the count."""
        self._white_up = self._since = now
        # The flip that ends the count is asked for in the middle of the last field, to come at its end.
        self.timers = {"counted": now + float((self.fields - Fraction(1, 2)) / self._rate)}
        self._next_second(now)

    def count_down(self, now: float) -> None:
        """One second less on the screen."""
        self._left -= 1
        self._next_second(now)

    def go_black(self, now: float) -> None:
        """Black, with the lamp that says it is meant."""
        self.timers.clear()
        self._since = now

    def go_on(self, now: float) -> None:
        """A full count: the first purity field."""
        self.timers = {"next field": now + self._purity_time}

    def close_count(self, now: float) -> None:
        """Red is up: the fields that white was really shown."""
        if self.counted is None:
            self.counted = round((now - self._white_up) * self._rate)

    def next_field(self, now: float) -> None:
        """Green, then blue."""
        self._purity += 1
        self.lead = PURITY[self._purity]
        last = self._purity == len(PURITY) - 1
        self.timers["last field over" if last else "next field"] = now + self._purity_time

    def leave(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """Nothing more to do here."""
        self.timers.clear()

    def _caution(self) -> tuple[str, str]:
        return f"Full white {self._seconds} s · go starts", "Any key: black at once"

    def _next_second(self, now: float) -> None:
        if self._left > 1:
            self.timers["second"] = now + 1

    def _timing(self) -> Signals:
        return Signals(running=hurry_blink(self._since) if self._left <= 3 else second_blink(self._since))

    def _ahead(self) -> tuple[str, str]:
        return PURITY[0] if self._left <= 1 else BLACK
