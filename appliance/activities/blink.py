"""Lamps that blink, as arithmetic: no thread, no timer of their own."""

from dataclasses import dataclass
from itertools import accumulate


@dataclass(frozen=True)
class Blink:
    """A cycle of times lit and dark in turn, in seconds from ``since`` on; without times steady, as ``lit`` says."""

    times: tuple[float, ...] = ()
    since: float = 0.0
    lit: bool = False

    def at(self, now: float) -> bool:
        """Whether the lamp is lit at ``now``."""
        if not self.times:
            return self.lit
        return self._part(now)[0] % 2 == 0

    def change(self, now: float) -> float | None:
        """When, after ``now``, the lamp next changes; None for a steady one."""
        return self._part(now)[1] if self.times else None

    def _part(self, now: float) -> tuple[int, float]:
        # In whole microseconds: a float that falls a hair before a change would name that change again, for ever.
        ends = [round(end * 1e6) for end in accumulate(self.times)]
        cycle, offset = divmod(round((now - self.since) * 1e6), ends[-1])
        part = next(i for i, end in enumerate(ends) if offset < end)
        return part, self.since + (cycle * ends[-1] + ends[part]) / 1e6


LIT, DARK = Blink(lit=True), Blink()


def count_blink(count: int, since: float) -> Blink:
    """``count`` short flashes and a long pause, again and again: a number to be read off a lamp."""
    return Blink((0.2, 0.3) * (count - 1) + (0.2, 1.5), since)


def slow_blink(since: float) -> Blink:
    """A second lit, a second dark: no count, but black that is meant."""
    return Blink((1.0, 1.0), since)


def second_blink(since: float) -> Blink:
    """Once a second: something is timed."""
    return Blink((0.2, 0.8), since)


def hurry_blink(since: float) -> Blink:
    """Four times a second: the last seconds of what is timed."""
    return Blink((0.125, 0.125), since)
