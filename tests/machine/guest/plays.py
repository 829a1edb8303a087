"""Timed sequences, played inside the guest so that the host's hiccups do not come between."""

import time
from typing import Any

from . import gpio_lines, pad


def move(what: str, key: int | str) -> list[float]:
    """``down`` or ``up``: a GPIO line by its number, or a pad's key by its name."""
    down = {"down": True, "up": False}[what]
    return pad.move(key, down) if isinstance(key, str) else gpio_lines.pull(key, up=not down)


def play(events: list[tuple[float, str, int | str]]) -> list[list[float]]:
    """Play (seconds from now, ``down`` or ``up``, key) in order; the two stamps of each, monotonic seconds."""
    begun = time.monotonic()
    stamps: list[Any] = []
    for at, what, key in events:
        time.sleep(max(0.0, begun + at - time.monotonic()))
        stamps.append(move(what, key))
    return stamps
