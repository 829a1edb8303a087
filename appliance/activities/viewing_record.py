"""What a viewing hands out to be kept. ``number`` counts within the visit; ``at`` is monotonic seconds.

Each record is answered by ``kept`` or ``not_kept`` with its number. One that was not kept comes again later, before
any that came after it and has not been tried.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Described:
    """How the signal comes (a key of ``PATHS``) and whether the set is ``cold``, ``warm``, or that
    was not said (empty); the last word counts.
    """

    number: int
    at: float
    path: str
    warmth: str


@dataclass(frozen=True)
class Marked:
    """What became of the step at ``place``, counted from 1: ``looked`` or ``skipped``; the last word counts."""

    number: int
    at: float
    place: int
    state: str


@dataclass(frozen=True)
class Noted:
    """A fault of a kind at a step, both by their keys; ``severity`` from 1, ``zone`` 1 to 9 or None: all over.

    ``title`` says the kind to people.
    """

    number: int
    at: float
    step: str
    kind: str
    severity: int
    zone: int | None
    title: str


@dataclass(frozen=True)
class TakenBack:
    """The note with the number ``note`` does not count any more."""

    number: int
    at: float
    note: int


@dataclass(frozen=True)
class Ended:
    """The visit is over, and how that came."""

    number: int
    at: float
    how: str


Record = Described | Marked | Noted | TakenBack | Ended


@dataclass(frozen=True)
class Outcome:
    """A visit as it stands: the notes that count, the places looked at (from 1) of so many ``steps``."""

    number: int
    notes: tuple[Noted, ...]
    looked: frozenset[int]
    steps: int
    path: str
    warmth: str
