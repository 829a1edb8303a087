"""The last visits, leafed through on the box: what each was, and what was noted of it, the worst first."""

from collections.abc import Sequence
from enum import StrEnum
from typing import ClassVar

from appliance.activities.hosted import Activity, Unconcerned
from appliance.activities.kept import Kept, PastVisit, PastWanted, Record
from appliance.activities.showing import Caption, Showing
from appliance.activities.table import Machine, Move, Table
from appliance.activities.viewing_plan import Page
from appliance.activities.viewing_showing import DIM

MOST = 5
SWAP_TIME = 60
"""Seconds that words stand in one place."""


class State(StrEnum):
    """What the keys mean now."""

    ASKED = "asked for"
    READING = "read"
    OVER = "over"


_LEAVE = {cue: Move(State.OVER, "leave") for cue in ("go", "note")}


class Past(Machine, Unconcerned):
    """``forward`` and ``back`` go from visit to visit, ``vary`` from page to page of each: like stands beside like."""

    table: ClassVar[Table] = {
        State.ASKED: {**_LEAVE, "answered": Move(State.READING, "swap"), "swap": Move(State.ASKED, "swap")},
        State.READING: {
            **_LEAVE,
            "forward": Move(State.READING, "next_visit"),
            "back": Move(State.READING, "visit_before"),
            "vary": Move(State.READING, "turn"),
            "swap": Move(State.READING, "swap"),
        },
        State.OVER: {},
    }
    name = "last visits"
    urgent = loaded = speaks = holds_format = False
    any_format = True

    def __init__(self, now: float) -> None:
        super().__init__(State.ASKED)
        self._visits: Sequence[PastVisit] | None = ()
        self._index, self._page, self._high = 0, 0, False
        self._wanted = PastWanted(MOST, now)
        self._to_ask: list[Kept] = [self._wanted]
        self.swap(now)

    @property
    def over(self) -> bool:
        """True when there is nothing more to do here."""
        return self.state is State.OVER

    @property
    def page(self) -> Page:
        """What is read now: how it is done, or a page of a visit."""
        if self.state is State.ASKED:
            return "The last visits", "are being looked up"
        if self._visits is None:
            return "The visits cannot be read", "go: done"
        if not self._visits:
            return "No visit has been kept", "go: done"
        if not self._index:
            return "Last visits: forward, back", "vary: what was noted"
        visit = self._visits[self._index - 1]
        return visit.pages[self._page] if self._page < len(visit.pages) else visit.beyond

    def showing(self) -> Showing:
        """A dim grey and the page."""
        page = self.page
        return Showing(*DIM, caption=Caption(tuple(line for line in page if line), self._high))

    def answer(self, record: Record, answer: object, now: float) -> bool:
        """The visits, or None when they cannot be read."""
        if record is not self._wanted:
            return False
        self._visits = answer if isinstance(answer, tuple) else None
        return self.cue("answered", now)

    def drain(self) -> list[Kept]:
        """The wish, once."""
        asked, self._to_ask = self._to_ask, []
        return asked

    # What changes nothing here

    def shown(self, pattern: str, stamp: float) -> None:
        """Nothing is timed."""

    def screen_lost(self, now: float) -> None:
        """Nothing is timed."""

    # Moves

    def next_visit(self, now: float) -> None:
        """The visit before this one, round and round."""
        self._leaf(1, now)

    def visit_before(self, now: float) -> None:
        """The visit after this one."""
        self._leaf(-1, now)

    def turn(self, now: float) -> None:
        """The next page of this visit, the first after its last; if none is there yet, what was noted of the first."""
        if self._visits:
            self._index, self._page = self._index or 1, self._page if self._index else 0
            self._page = (self._page + 1) % max(len(self._visits[self._index - 1].pages), self._page + 1)
        self.swap(now)

    def swap(self, now: float) -> None:
        """Words do not stand in one place for long."""
        self._high = not self._high
        self.timers["swap"] = now + SWAP_TIME

    def leave(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """Done."""
        self.timers.clear()

    def _leaf(self, by: int, now: float) -> None:
        self._index = (self._index + by) % (len(self._visits or ()) + 1)
        self.swap(now)


def past_visits() -> Activity:
    """The entry of the list."""
    return Activity("Last visits", lambda fmt, now: Past(now), key="last-visits")  # noqa: ARG005 - in any format
