"""What a start makes of a soak that was left open."""

import logging

from appliance.activities.hosted import Activity
from appliance.activities.hosted_soak import resumed
from appliance.activities.soak_plan import Soak
from appliance.activities.soak_text import read_soak
from appliance.activities.soak_words import Cause, left_out
from appliance.patterns.catalogue import catalogue
from appliance.records.entries import EventRecord, SoakRecord

log = logging.getLogger(__name__)


def resumption(record: SoakRecord, boot: str, words_time: float) -> Activity | None:
    """How to go on with ``record`` in the boot named ``boot``; None when this box can no longer show it."""
    try:
        soak = read_soak(record.plan)
        _check_pictures(soak)
    except ValueError as error:
        log.error("soak %d was left open and cannot be taken up: %s", record.id, error)
        return None
    cause, elapsed = _cause(record, boot), _elapsed(record, soak)
    log.info("soak %d, %s: left open at %.0f s of %d (%s)", record.id, record.name, elapsed, soak.total, cause)
    return resumed(soak, elapsed, cause, _left_out(record), words_time)


def _check_pictures(soak: Soak) -> None:
    patterns = catalogue()
    for phase in soak.phases:
        if phase.pattern not in patterns or phase.variant not in patterns[phase.pattern].variants:
            raise ValueError(f"there is no picture {phase.pattern}:{phase.variant}")


def _elapsed(record: SoakRecord, soak: Soak) -> float:
    """The soak's own seconds at its last sign of life."""
    signs = [_reached(event, soak) for event in record.events[-1:]] + ([record.alive.elapsed] if record.alive else [])
    return max(signs, default=0.0)


def _reached(event: EventRecord, soak: Soak) -> float:
    """A phase that was skipped is over, though the cut came before the next one was told."""
    if event.kind == "skipped" and 0 <= event.phase < len(soak.ends):
        return float(soak.ends[event.phase])
    return event.elapsed


def _left_out(record: SoakRecord) -> int:
    """Seconds skipped so far, in every boot."""
    return sum(left_out(event.words) for event in record.events if event.kind == "skipped")


def _cause(record: SoakRecord, boot: str) -> Cause:
    """A boot of the same name: the machine ran on, so it was the program alone that ended."""
    moments = [record.begun, *(event.moment for event in record.events), *(beat.moment for beat in record.beats)]
    if record.events and record.events[-1].words == Cause.STOPPED:
        return Cause.STOPPED
    return Cause.PROGRAM_ENDED if boot in {moment.boot for moment in moments} else Cause.POWER_CUT
