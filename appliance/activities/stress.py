"""The white stress: full white for a set time, counted in fields, then the purity fields.

Rules: the caution comes first and ``go`` starts. While the screen is full white, any key makes it black at once, and
it stays black until the next key. Only a full count goes on by itself, to red, green and blue.

The count begins with the field in which white was first scanned and ends with the one in which red was: both are
told by the screen's own stamps, so the count is what the set really saw.
"""

from enum import StrEnum
from typing import ClassVar

from appliance.activities.blink import LIT, hurry_blink, second_blink, slow_blink
from appliance.activities.hosted import Activity, Left, Unconcerned
from appliance.activities.kept import Kept
from appliance.activities.showing import BLACK, Caption, Showing, Signals
from appliance.activities.table import Machine, Move, Table
from appliance.video.fields import fields_between, fields_for, time_of_field
from appliance.video.formats import Format

WHITE = ("white", "100")
PURITY = (("red", "100"), ("green", "100"), ("blue", "100"))


class State(StrEnum):
    """Caution asked for; on the screen; long enough there; white asked for; white up and counted; black by a key, and
    black for good; purity fields; over."""

    ASKED = "caution asked for"
    SHOWN = "caution shown"
    CAUTION = "caution"
    ARMED = "armed"
    FULL = "full"
    BLACKING = "black asked for"
    BLACK = "black"
    PURITY = "purity"
    OVER = "over"


_LEAVE = Move(State.OVER, "leave")
_PANIC = Move(State.BLACKING, "go_black")
_READ = 0.4
"""Seconds that the caution must have stood before ``go`` starts: a worn key that bounces must not skip it."""
_SETTLE = 0.5
"""Seconds of black in which further fingers of the same hand are not taken for the next key."""
_KEYS = ("forward", "back", "vary", "note", "digit", "go held", "vary held", "note held")


class Stress(Machine, Unconcerned):
    """One run. ``seconds`` of white in ``fmt``, ``purity_time`` seconds for each purity field."""

    name, speaks, holds_format, any_format = "white stress", False, False, False
    table: ClassVar[Table] = {
        State.ASKED: {
            **dict.fromkeys(_KEYS, _LEAVE),
            "black up": Move(State.SHOWN, "wait_for_eyes"),
            "caution over": _LEAVE,
        },
        State.SHOWN: {
            **dict.fromkeys(_KEYS, _LEAVE),
            "read": Move(State.CAUTION, "nothing"),
            "caution over": _LEAVE,
        },
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
        State.BLACKING: {"touch": Move(State.BLACKING, "nothing"), "settled": Move(State.BLACK, "nothing")},
        State.BLACK: {"touch": _LEAVE},
        State.PURITY: {
            **dict.fromkeys((*_KEYS, "go"), _LEAVE),
            "red up": Move(State.PURITY, "close_count"),
            "next field": Move(State.PURITY, "next_field"),
            "last field over": _LEAVE,
        },
        State.OVER: {},
    }

    def __init__(self, seconds: int, purity_time: float, fmt: Format, now: float) -> None:
        super().__init__(State.ASKED)
        self.fields = fields_for(fmt, seconds)
        self.counted: int | None = None
        self.lead = PURITY[0]
        self._seconds, self._purity_time, self._fmt = seconds, purity_time, fmt
        self._purity, self._left, self._since = 0, seconds, now
        self._reached_purity = False
        self._white_up = 0.0
        self._log: list[Kept] = []
        self.timers["caution over"] = now + 60

    def shown(self, pattern: str, stamp: float) -> None:
        """A picture went up at ``stamp``: the count begins with white's, ends with red's."""
        self.cue(f"{pattern} up", stamp)

    def showing(self) -> Showing:
        """Caution over black, full white with the seconds left, black, or a purity field."""
        match self.state:
            case State.ARMED | State.FULL:
                return Showing(*WHITE, count=str(self._left), signals=self._timing(), ahead=self._ahead())
            case State.BLACKING | State.BLACK:
                return Showing(*BLACK, signals=Signals(attention=slow_blink(self._since)))
            case State.PURITY:
                return Showing(*self.lead, signals=Signals(running=LIT))
            case _:
                return Showing(*BLACK, caption=Caption(self._caution()))

    @property
    def urgent(self) -> bool:
        """True when a key, or a lost screen, made it black."""
        return self.state in (State.BLACKING, State.BLACK)

    @property
    def loaded(self) -> bool:
        """True while white is counted, or about to be."""
        return self.state in (State.ARMED, State.FULL)

    @property
    def over(self) -> bool:
        """True when there is nothing more to do here."""
        return self.state is State.OVER

    def screen_lost(self, now: float) -> None:
        """White that nobody can count is given up."""
        self.cue("screen lost", now)

    def drain(self) -> list[Kept]:
        """How many fields were shown, once they are counted."""
        said, self._log = self._log, []
        return said

    def left(self) -> Left:
        """At the purity field reached, whose keys mean what they do in stepping; else at a dim white."""
        if self.counted is None:
            return Left((WHITE[0], ""), passes=self._reached_purity)
        return Left(self.lead, caption=False, passes=True)

    def wait_for_eyes(self, now: float) -> None:
        """The caution is up: ``go`` means something in a moment."""
        self.timers["read"] = now + _READ

    def arm(self, now: float) -> None:
        """White is asked for; were it never to come up, black is the answer."""
        self.timers = {"never up": now + 2}
        self._since = now

    def begin(self, now: float) -> None:
        """White is up since ``now``: set the seconds and the end of the count."""
        self._white_up = self._since = now
        # The flip that ends the count is asked for in the middle of the last field, to come at its end.
        self.timers = {"counted": now + float(time_of_field(self._fmt, self.fields) - self._fmt.field_time / 2)}
        self._next_second(now)

    def count_down(self, now: float) -> None:
        """One second less on the screen."""
        self._left -= 1
        self._next_second(now)

    def go_black(self, now: float) -> None:
        """Black, with the lamp that says it is meant."""
        self._since = now
        self.timers = {"settled": now + _SETTLE}

    def go_on(self, now: float) -> None:
        """A full count: the first purity field."""
        self._reached_purity = True
        self.timers = {"next field": now + self._purity_time}

    def close_count(self, now: float) -> None:
        """Red is up: the fields that white was really shown."""
        if self.counted is None:
            self.counted = fields_between(self._fmt, self._white_up, now)
            self._log.append(f"white stress: {self.counted} fields shown of {self.fields} asked")

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


def white_stress(seconds: int, purity_time: float) -> Activity:
    """The entry of the list; ``go`` on the white field begins it, too."""
    return Activity("White stress", lambda fmt, now: Stress(seconds, purity_time, fmt, now), WHITE[0], "white-stress")
