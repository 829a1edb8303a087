"""What an activity hands out: a string is a line for the log, everything else belongs into the records."""

from dataclasses import dataclass

from appliance.activities.soak_event import SoakEvent
from appliance.activities.viewing_plan import Page, Route
from appliance.activities.viewing_record import Record as VisitNews


@dataclass(frozen=True)
class SoakBegun:
    """A soak began at ``at`` of the monotonic clock; ``plan`` is all of it, as JSON."""

    name: str
    title: str
    plan: str
    at: float


@dataclass(frozen=True)
class SoakEnded:
    """The soak is over, and how that came."""

    at: float
    how: str


@dataclass(frozen=True)
class VisitBegun:
    """A visit along ``route`` began at ``at``. Answered by its number, or None when it could not be kept."""

    route: Route
    at: float


@dataclass(frozen=True)
class VisitEntry:
    """News of the visit that began, or was taken up, at ``begun``; ``visit`` is its number, None while it has none.

    Answered by whether it is kept.
    """

    begun: float
    visit: int | None
    news: VisitNews


@dataclass(frozen=True)
class PastWanted:
    """The last visits are asked for. Answered by a tuple of :class:`PastVisit`, latest first, or None."""

    most: int
    at: float


@dataclass(frozen=True)
class PastVisit:
    """A visit as it is leafed through, in ``pages``, one at least; ``beyond`` stands for any further."""

    pages: tuple[Page, ...]
    beyond: Page


Record = SoakBegun | SoakEvent | SoakEnded | VisitBegun | VisitEntry | PastWanted
Kept = str | Record
