"""A visit as the box itself knows it, in the shape of one that was kept."""

from appliance.activities.viewing_plan import Route
from appliance.activities.viewing_record import Outcome
from appliance.records.entries import Finding, Moment, RouteStep, StepRecord, StepState, VisitRecord


def kept_steps(route: Route) -> tuple[RouteStep, ...]:
    """A route's steps as a visit keeps them."""
    return tuple(RouteStep(step.key, step.title, step.pattern, step.variants[0]) for step in route.steps)


def record_of(outcome: Outcome, route: Route, begun: Moment) -> VisitRecord:
    """The record of a visit along ``route`` that began at ``begun`` and has not ended."""
    findings = tuple(
        Finding(note.number, begun, note.step, note.kind, note.severity, note.zone, False, note.title, note.number)
        for note in outcome.notes
    )
    steps = tuple(
        StepRecord(place, step, StepState.LOOKED if place in outcome.looked else StepState.AHEAD, begun)
        for place, step in enumerate(kept_steps(route), 1)
    )
    return VisitRecord(
        outcome.number, "", route.name, begun, None, "", findings, (), route.title, outcome.path, outcome.warmth, steps
    )
