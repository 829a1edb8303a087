"""What a press can mean."""

from enum import StrEnum
from typing import NamedTuple


class Kind(StrEnum):
    """``TOUCH``: any debounced edge down, given first. ``SHORT``: the key's plain meaning (forward, back and digits
    on the edge down; go, vary, note on release before a second). ``REPEAT``: forward or back still held. ``HELD``:
    go, vary or note held one second. ``PAIR``: two keys held together long enough; ``key`` is then ``go+note`` or
    ``go+vary``."""

    TOUCH = "touch"
    SHORT = "short"
    REPEAT = "repeat"
    HELD = "held"
    PAIR = "pair"


class Press(NamedTuple):
    """One meaning that came out of the keys at a time, in seconds of the monotonic clock."""

    kind: Kind
    key: str
    at: float
