"""How fast pictures may follow each other, for the sake of eyes: no hammering of keys makes a flashing screen.

ITU-R BT.1702-3 accepts flashes whose leading edges are 360 ms apart or more, and WCAG 2.2 SC 2.3.1 three in a second.
A flash is a pair of opposing changes, so changes at least a fifth of a second apart make at most two and a half flashes
a second. Black that a key asked for in a bright test is never held back; what follows it then waits the longer.
"""

from collections.abc import Hashable

GAP = 0.2
"""Seconds from one picture to the next."""
GAP_AFTER_URGENT = 0.36
"""Seconds from a black that did not wait to the next picture: then the leading edges are far enough apart."""


class Pacer:
    """Lets a picture through at once when the last one has stood long enough, else tells when."""

    def __init__(self) -> None:
        self._up: Hashable = None
        self._free_at = float("-inf")

    def ready(self, picture: Hashable, now: float, *, urgent: bool = False) -> float:
        """When ``picture`` may go up: ``now`` or before it, at once. Words that change do not make another picture."""
        return now if urgent or picture == self._up else self._free_at

    def passed(self, picture: Hashable, now: float, *, urgent: bool = False) -> None:
        """``picture`` is asked for."""
        if picture != self._up:
            self._up, self._free_at = picture, now + (GAP_AFTER_URGENT if urgent else GAP)
