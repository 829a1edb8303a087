"""What comes out of the store: plain frozen records."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Moment:
    """When a record was made.

    ``at`` is monotonic seconds of the boot named; only moments of one boot can be subtracted. ``wall`` is seconds
    since 1970, to be shown only where ``synced``: without it the clock had not been set.
    """

    boot: str
    at: float
    wall: float
    synced: bool


@dataclass(frozen=True)
class EventRecord:
    """Something that happened in a soak, ``elapsed`` seconds into it, in phase ``phase``; numbered from 1."""

    number: int
    kind: str
    moment: Moment
    elapsed: float
    phase: int
    words: str


@dataclass(frozen=True)
class Beat:
    """A sign of life: the last one of its minute of the soak. Health is ``None`` where the board does not tell."""

    moment: Moment
    elapsed: float
    phase: int
    celsius: float | None = None
    undervoltage: bool | None = None


@dataclass(frozen=True)
class SoakRecord:
    """A soak. ``how`` it ended is empty while it has not; ``alive`` is its last heartbeat.

    ``plan`` is the text handed in at the start (JSON). ``left_out`` counts events beyond the most that are kept.
    A list of soaks carries neither events nor beats.
    """

    id: int
    name: str
    title: str
    plan: str
    begun: Moment
    ended: Moment | None
    how: str
    alive: Beat | None = None
    events: tuple[EventRecord, ...] = ()
    beats: tuple[Beat, ...] = ()
    left_out: int = 0

    @property
    def looks(self) -> tuple[EventRecord, ...]:
        """The events in which a person looked."""
        return tuple(event for event in self.events if event.kind == "look")


@dataclass(frozen=True)
class Finding:
    """A fault noted at a step; ``zone`` 1 to 9 as on the pad, ``None`` for the whole screen."""

    id: int
    moment: Moment
    step: str
    kind: str
    severity: int
    zone: int | None
    undone: bool


@dataclass(frozen=True)
class Reading:
    """A measurement by a gauge; ``uncertainty`` in the same unit, ``None`` when not known."""

    id: int
    moment: Moment
    gauge: str
    value: float
    unit: str
    uncertainty: float | None


@dataclass(frozen=True)
class VisitRecord:
    """Everything noted of one set at one time. ``how`` it ended is empty while it has not."""

    id: int
    label: str
    route: str
    begun: Moment
    ended: Moment | None
    how: str
    findings: tuple[Finding, ...] = ()
    readings: tuple[Reading, ...] = ()
