"""What comes out of the store: plain frozen records."""

from dataclasses import dataclass
from enum import StrEnum

MOST_FINDINGS = 150
"""Of one visit, those taken back among them: a key that chatters must not fill the card."""


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


class StepState(StrEnum):
    """What became of a step of a route."""

    AHEAD = "ahead"
    REACHED = "reached"
    LOOKED = "looked"
    SKIPPED = "skipped"


@dataclass(frozen=True)
class RouteStep:
    """A step of a route as a visit keeps it, so that it can be told when the route's file is another.

    ``key`` tells it from the route's other steps, ``title`` says it to people. ``pattern`` may be empty.
    """

    key: str
    title: str
    pattern: str = ""
    variant: str = ""


@dataclass(frozen=True)
class StepRecord:
    """A step and what became of it, at ``moment``; ``number`` counts from 1 along the route."""

    number: int
    step: RouteStep
    state: StepState
    moment: Moment


@dataclass(frozen=True)
class Finding:
    """A fault noted at a step, ``step`` being its key; ``zone`` 1 to 9 as on the pad, ``None`` for the whole screen.

    ``severity``: 1 slight, 2 plain, 3 bad. ``title`` says the kind to people, as it was said when it was noted.
    ``number``: the note's own within its visit.
    """

    id: int
    moment: Moment
    step: str
    kind: str
    severity: int
    zone: int | None
    undone: bool
    title: str = ""
    number: int = 0


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
    """Everything noted of one set at one time; ``id`` is its number. ``how`` it ended is empty while it has not.

    ``label`` is what the set is called, ``route`` the name of the route and ``title`` its title. ``path``: how the
    signal came to the set, a word of the viewing's plan; ``warmth``: cold or warm; both may be empty.
    ``low``: the box was short of voltage meanwhile. A list of visits carries neither steps nor readings.
    """

    id: int
    label: str
    route: str
    begun: Moment
    ended: Moment | None
    how: str
    findings: tuple[Finding, ...] = ()
    readings: tuple[Reading, ...] = ()
    title: str = ""
    path: str = ""
    warmth: str = ""
    steps: tuple[StepRecord, ...] = ()
    low: bool = False

    @property
    def noted(self) -> tuple[Finding, ...]:
        """The findings that were not taken back."""
        return tuple(finding for finding in self.findings if not finding.undone)
