"""Keys without hardware, for tests and rehearsals."""

from appliance.hardware.keys.protocol import KeysTrouble
from appliance.presses.edges import Edge


class MemoryKeys:
    """Edges as they are fed in, given out when their time comes. As unkind as real ones: they chatter and stick.

    Times are seconds of the same clock as :meth:`read` is given. There is nothing to wait on but :meth:`due`.
    """

    def __init__(self) -> None:
        self._waiting: list[Edge] = []
        self._stuck: set[str] = set()
        self._down: set[str] = set()
        self._lost: float | None = None
        self.closed = False

    def feed(self, *edges: Edge) -> None:
        """Edges to come, in any order."""
        self._waiting = sorted([*self._waiting, *edges], key=lambda edge: edge.at)

    def press(self, key: str, at: float, held: float = 0.1) -> None:
        """A clean press of ``held`` seconds."""
        self.feed(Edge(key, True, at), Edge(key, False, at + held))

    def chatter(self, key: str, down: bool, at: float, bounces: int = 5, apart: float = 0.001) -> None:
        """The key goes down (or up) and bounces so often before it rests, ``apart`` seconds from edge to edge."""
        self.feed(*(Edge(key, down is (n % 2 == 0), at + n * apart) for n in range(2 * bounces + 1)))

    def stick(self, key: str) -> None:
        """From now on the key does not come up again once it is down."""
        self._stuck.add(key)

    def unplug(self, at: float) -> None:
        """The device goes away: nothing comes after ``at``, keys that are down go up, then there is only trouble."""
        self._lost = at
        self._waiting = [edge for edge in self._waiting if edge.at < at]

    def fileno(self) -> int | None:
        """Nothing to wait on."""
        return None

    def due(self) -> float | None:
        """When the next edge comes."""
        if self._waiting:
            return self._waiting[0].at
        return self._lost

    def read(self, now: float) -> list[Edge]:
        """The edges due by ``now``; raises :class:`KeysTrouble` once unplugged."""
        come = [edge for edge in self._waiting if edge.at <= now]
        self._waiting = self._waiting[len(come) :]
        given = [edge for edge in come if edge.down or edge.key not in self._stuck]
        for edge in given:
            (self._down.add if edge.down else self._down.discard)(edge.key)
        if self._lost is not None and self._lost <= now:
            given += self._last(given)
        return given

    def close(self) -> None:
        """Nothing to let go of; noted in ``closed``."""
        self.closed = True

    def _last(self, given: list[Edge]) -> list[Edge]:
        if not given and not self._down:
            raise KeysTrouble("these keys were unplugged")
        assert self._lost is not None
        up = [Edge(key, False, self._lost) for key in sorted(self._down)]
        self._down.clear()
        return up
