"""Raw edges to presses: the debouncer and the grammar together."""

from collections.abc import Iterable, Iterator

from appliance.presses.debounce import LOCK_OUT, Debouncer
from appliance.presses.edges import Edge
from appliance.presses.grammar import Grammar, Repeat
from appliance.presses.press import Press


class Reader:
    """What the service holds: raw edges and the time in, presses out.

    Hand in the edges that have come before the time, so that a release that waited to be read is not overtaken by
    the held meaning it prevents; :meth:`take` does both in that order.
    """

    def __init__(self, lock_out: float = LOCK_OUT, repeat: Repeat = "steady") -> None:
        """``lock_out`` in seconds; ``repeat`` as :class:`Grammar` has it."""
        self._debouncer = Debouncer(lock_out)
        self._grammar = Grammar(repeat)

    @property
    def repeat(self) -> Repeat:
        """How held forward and back repeat; may be set at any time."""
        return self._grammar.repeat

    @repeat.setter
    def repeat(self, repeat: Repeat) -> None:
        """From the next repeat on."""
        self._grammar.repeat = repeat

    def take(self, edges: Iterable[Edge], now: float) -> Iterator[Press]:
        """The presses of ``edges`` and of the time up to ``now``, one by one.

        Each is reckoned only when asked for: a :meth:`spend` in answer to a TOUCH keeps the rest of that press from
        coming. Use up the iterator before the next call.
        """
        for edge in edges:
            yield from self._meanings(self._debouncer.edge(edge))
        yield from self._meanings(self._debouncer.tick(now))
        yield from self._grammar.tick(now)

    def edge(self, edge: Edge) -> list[Press]:
        """All presses of one raw edge at once; with a :meth:`spend` in sight use :meth:`take`."""
        return list(self._meanings(self._debouncer.edge(edge)))

    def tick(self, now: float) -> list[Press]:
        """All presses that came due by ``now``."""
        return list(self.take((), now))

    def due(self) -> float | None:
        """When :meth:`tick` is next needed, in seconds of the monotonic clock; None while nothing is under way."""
        dues = [due for due in (self._debouncer.due(), self._grammar.due()) if due is not None]
        return min(dues, default=None)

    def spend(self) -> None:
        """Take every further meaning from what is now down, until it is released."""
        self._grammar.spend()

    def held(self, key: str) -> bool:
        """Whether the key is down, chatter aside."""
        return self._grammar.held(key)

    def stuck(self) -> tuple[str, ...]:
        """The keys taken for stuck."""
        return self._grammar.stuck()

    def _meanings(self, edges: Iterable[Edge]) -> Iterator[Press]:
        for edge in edges:
            yield from self._grammar.meanings(edge)
