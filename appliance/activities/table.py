"""A machine driven by a table: the only place where an activity's transitions stand.

A table maps a state to cues, and a cue to a :class:`Move`: the state it leads to and the method that does the work.
What is not in the table is refused: nothing happens. Timers are named after the cues they give, so that time too
goes through the table.
"""

from collections.abc import Mapping
from enum import StrEnum
from typing import Any, ClassVar, NamedTuple

from appliance.presses.press import Kind, Press


class Move(NamedTuple):
    """Where a cue leads, and the method ``do(now)`` of the machine that is called on the way."""

    to: Any
    do: str


Table = Mapping[Any, Mapping[str, Move]]


class Machine:
    """State, timers, and the walk through ``table``. Subclasses give ``table``, ``first`` and the methods named."""

    table: ClassVar[Table]

    def __init__(self, first: StrEnum) -> None:
        self.state = first
        self.timers: dict[str, float] = {}

    def cue(self, name: str, now: float) -> bool:
        """Take the move that ``name`` has in this state; False when there is none."""
        move = self.table[self.state].get(name)
        if move is None:
            return False
        self.state = move.to
        getattr(self, move.do)(now)
        return True

    def press(self, press: Press) -> bool:
        """Take the move of a press; False when it has none here."""
        return self.cue(self.meaning(press), press.at)

    def meaning(self, press: Press) -> str:
        """The cue of a press: ``forward``, ``digit``, ``touch``, ``go held`` …; a repeat is the key again."""
        if press.kind is Kind.TOUCH:
            return "touch"
        key = "digit" if press.key.isdigit() else press.key
        return f"{key} held" if press.kind is Kind.HELD else key

    def tick(self, now: float) -> None:
        """Give the cue of every timer that has run out, the earliest first."""
        while (name := self._first_timer()) is not None and self.timers[name] <= now:
            at = self.timers.pop(name)
            self.cue(name, at)

    def due(self) -> float | None:
        """When :meth:`tick` next has something to do."""
        name = self._first_timer()
        return None if name is None else self.timers[name]

    def nothing(self, now: float) -> None:
        """The move that only changes the state."""

    def _first_timer(self) -> str | None:
        return min(self.timers, key=lambda name: self.timers[name], default=None)
