"""What a record holds, in words for people: never a name that only the program knows."""

from collections.abc import Iterator, Mapping
from datetime import datetime, tzinfo

from appliance.activities.viewing_plan import PATHS, SEVERITIES, WARMTHS, ZONES
from appliance.findings import Fault
from appliance.records.entries import Finding, Moment, StepRecord, StepState, VisitRecord

Kinds = Mapping[str, Fault]

NO_TIME = "time not set"
ALL_OVER = "all over"
WARMTH_NOT_SAID = "cold or warm not said"
NOT_TESTED = "RGB and component not tested"
_NAMELESS = "a fault without a name here"


def when(record: VisitRecord, zone: tzinfo | None = None) -> str:
    """Day and time that a visit began at, in ``zone`` or this machine's; :data:`NO_TIME` when no clock tells.

    A clock that was set later in the same boot tells, too: the monotonic seconds between lead back to the start.
    """
    for moment in _moments(record):
        if moment.synced and moment.boot == record.begun.boot:
            begun = moment.wall - (moment.at - record.begun.at)
            try:
                return datetime.fromtimestamp(begun, zone).strftime("%Y-%m-%d %H:%M")
            except (OverflowError, ValueError, OSError):
                return NO_TIME  # a clock that was set to nonsense
    return NO_TIME


def _moments(record: VisitRecord) -> Iterator[Moment]:
    yield record.begun
    yield from (step.moment for step in record.steps)
    yield from (finding.moment for finding in record.findings)
    yield from (reading.moment for reading in record.readings)
    if record.ended:
        yield record.ended


def plain(words: str) -> str:
    """On one line, without signs that cannot be seen."""
    shown = "".join(letter if letter.isprintable() else " " for letter in words)
    return " ".join(shown.split())


def label(record: VisitRecord) -> str:
    """What the set is called."""
    return plain(record.label) or "no name given"


def path(record: VisitRecord) -> str:
    """How the signal came to the set."""
    return PATHS.get(record.path, "signal path not said")


def warmth(record: VisitRecord) -> str:
    """Whether the set had been off for long, as somebody said."""
    return f"set {record.warmth}" if record.warmth in WARMTHS else WARMTH_NOT_SAID


def route(record: VisitRecord) -> str:
    """What the route is called."""
    return plain(record.title) or "route without a name"


def looked(record: VisitRecord) -> str:
    """How far the visit came."""
    if not record.steps:
        return "steps not kept"
    done = sum(step.state is StepState.LOOKED for step in record.steps)
    return f"{done} of {len(record.steps)} steps looked at"


def ending(record: VisitRecord) -> str:
    """How it ended."""
    if record.ended is None:
        return "not ended"
    return "ended for danger" if record.how == "danger" else "ended"


def kind(finding: Finding, kinds: Kinds) -> str:
    """The kind of fault, as it was said when it was noted."""
    if title := plain(finding.title):
        return title
    return kinds[finding.kind].name if finding.kind in kinds else _NAMELESS


def severity(finding: Finding) -> str:
    """How bad it is."""
    return SEVERITIES[min(max(finding.severity, 1), len(SEVERITIES)) - 1]


def place(finding: Finding) -> str:
    """Where on the screen."""
    return ZONES[finding.zone - 1] if finding.zone and 1 <= finding.zone <= len(ZONES) else ALL_OVER


def step_title(record: VisitRecord, key: str) -> str:
    """What the step is called that a finding was noted at."""
    return next((plain(step.step.title) for step in record.steps if step.step.key == key), "at another time")


def state(step: StepRecord) -> str:
    """What became of a step."""
    words = {
        StepState.LOOKED: "looked at",
        StepState.SKIPPED: "skipped",
        StepState.REACHED: "begun",
        StepState.AHEAD: "not reached",
    }
    return words[step.state]
