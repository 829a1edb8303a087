"""What an activity hands out: a string is a line for the log, everything else belongs into the records."""

from dataclasses import dataclass

from appliance.activities.soak_event import SoakEvent


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


Record = SoakBegun | SoakEvent | SoakEnded
Kept = str | Record
