"""One thing that was looked at."""

from enum import StrEnum
from typing import NamedTuple


class State(StrEnum):
    """``fine``; ``look``: it may be meant, or cannot be told from here; ``wrong``: the box cannot do its work so."""

    FINE = "fine"
    LOOK = "look"
    WRONG = "wrong"


class Line(NamedTuple):
    """What was looked at, how it is, what was seen, and what to do about it ("" when nothing need be done)."""

    topic: str
    state: State
    seen: str
    remedy: str = ""
