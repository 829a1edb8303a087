"""Logical keys and their edges."""

from typing import NamedTuple

FORWARD, BACK, GO, VARY, NOTE = "forward", "back", "go", "vary", "note"
SINGLE_KEYS = (FORWARD, BACK, GO, VARY, NOTE)
DIGITS = tuple("0123456789")
KEYS = SINGLE_KEYS + DIGITS
"""Every logical key: the five, and the digits of a pad (1–9 lie as the zones do)."""


class Edge(NamedTuple):
    """A key went down or up at a time, in seconds of the monotonic clock."""

    key: str
    down: bool
    at: float
