"""Chatter out of edges: a key acts on its first edge, and is then deaf for a moment."""

from dataclasses import dataclass

from appliance.presses.edges import Edge

LOCK_OUT = 0.020
"""Seconds; contacts of small push buttons settle within some 5 ms, worn ones within 20 (common practice, no source)."""


@dataclass
class _Contact:
    raw: bool = False
    reported: bool = False
    deaf_until: float | None = None


class Debouncer:
    """Raw edges in, clean ones out; each key for itself.

    The first edge is passed on at once, so that a press costs no waiting. For ``lock_out`` seconds after it the key
    is not listened to; then its level is compared with the reported one and a difference is passed on, which locks
    out again. So a press of any length comes out, chatter within the lock-out does not, and the last level is right.
    Stamps never run backwards: an edge older than the latest time seen counts as of that time.
    """

    def __init__(self, lock_out: float = LOCK_OUT) -> None:
        """``lock_out`` in seconds."""
        self._lock_out = lock_out
        self._contacts: dict[str, _Contact] = {}
        self._latest = float("-inf")

    def edge(self, edge: Edge) -> list[Edge]:
        """Take in a raw edge; give what came clean by its time, in order of time."""
        clean = self.tick(edge.at)
        contact = self._contacts.setdefault(edge.key, _Contact())
        contact.raw = edge.down
        if contact.deaf_until is None and contact.raw != contact.reported:
            clean.append(self._report(edge.key, contact, self._latest))
        return clean

    def tick(self, now: float) -> list[Edge]:
        """Give the differences found at the lock-outs that ended by ``now``, stamped with those ends, in order."""
        self._latest = max(self._latest, now)
        clean: list[Edge] = []
        while (ended := self._next()) is not None and ended[0] <= self._latest:
            clean += self._settle(*ended)
        return clean

    def due(self) -> float | None:
        """When the next lock-out ends, in seconds of the monotonic clock, or None."""
        ended = self._next()
        return None if ended is None else ended[0]

    def _next(self) -> tuple[float, str] | None:
        ends = ((c.deaf_until, key) for key, c in self._contacts.items() if c.deaf_until is not None)
        return min(ends, default=None)

    def _settle(self, at: float, key: str) -> list[Edge]:
        contact = self._contacts[key]
        contact.deaf_until = None
        return [] if contact.raw == contact.reported else [self._report(key, contact, at)]

    def _report(self, key: str, contact: _Contact, at: float) -> Edge:
        contact.reported = contact.raw
        contact.deaf_until = at + self._lock_out
        return Edge(key, contact.raw, at)
