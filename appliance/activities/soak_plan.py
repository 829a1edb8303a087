"""A soak as it is planned: its phases in order, and where it is at a time.

Lengths are whole seconds; in fields they are exact. Phase ends lie at the nearest whole field to their exact time, so
that no phase is off by more than a field and nothing adds up over hours.
"""

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import accumulate


@dataclass(frozen=True)
class Phase:
    """One picture for ``seconds``. ``moving``: it moves by itself. ``look``: one by which a set is looked over.

    ``rest``: the set is switched off meanwhile. ``bright``: a load, so that any key makes it black. ``words``: what
    the log calls it.
    """

    pattern: str
    variant: str
    seconds: int
    moving: bool
    look: bool = False
    rest: bool = False
    words: str = ""
    bright: bool = False


@dataclass(frozen=True)
class Soak:
    """``phases`` in full, repeats written out. ``presence_minutes`` without a key make it wait, dim (0: never).

    ``resume``: it goes on by itself after a power cut. ``looks``: the minutes at which it offers a look. ``cautions``:
    screens of two lines shown before it starts, besides those every soak has.
    """

    name: str
    title: str
    phases: tuple[Phase, ...]
    resume: bool
    presence_minutes: int
    looks: tuple[int, ...]
    cautions: tuple[tuple[str, str], ...] = ()

    @cached_property
    def ends(self) -> tuple[int, ...]:
        """The second at which each phase ends."""
        return tuple(accumulate(phase.seconds for phase in self.phases))

    @property
    def total(self) -> int:
        """Seconds of the whole."""
        return self.ends[-1]

    def start(self, index: int) -> int:
        """The second at which phase ``index`` begins; the total for one past the last."""
        return self.ends[index - 1] if index else 0

    def phase_at(self, elapsed: float) -> int:
        """Index of the phase at ``elapsed`` seconds; the last one's at the end and beyond, the first one's before 0."""
        return min(bisect_right(self.ends, elapsed), len(self.phases) - 1)

    def end_fields(self, field_rate: Fraction) -> tuple[int, ...]:
        """The field, counted from the start, at which each phase ends: the nearest to its exact time."""
        return tuple(round(second * field_rate) for second in self.ends)


def clock(seconds: float) -> str:
    """Hours and minutes, as in 1:12; the begun minute does not count."""
    minutes = int(seconds) // 60
    return f"{minutes // 60}:{minutes % 60:02}"
