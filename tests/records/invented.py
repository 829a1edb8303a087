"""Visits that nobody made: records by hand, for what is told of them."""

from collections.abc import Sequence

from appliance.records.entries import Finding, Moment, Reading, RouteStep, StepRecord, StepState, VisitRecord

MOMENT = Moment("boot-a", 100.0, 1763_000_000.0, True)
UNSET = Moment("boot-a", 100.0, 0.0, False)

ROUTE = (
    RouteStep("cold", "Grey from cold", "grey", "50"),
    RouteStep("white", "White, listen and smell", "white", "100"),
    RouteStep("red", "Red", "red", "100"),
    RouteStep("shape", "Shape and fringes", "crosshatch", "white"),
    RouteStep("sockets", "Sockets and controls"),
    RouteStep("off", "Off: the spot", "black", "0"),
)


def finding(
    number: int, step: str, kind: str, severity: int = 2, zone: int | None = None, title: str = "", undone: bool = False
) -> Finding:
    """A finding at the usual moment."""
    return Finding(number, MOMENT, step, kind, severity, zone, undone, title)


def visit(  # a visit is described by what is special about it
    findings: Sequence[Finding] = (),
    *,
    number: int = 12,
    label: str = "the walnut one",
    looked: int = 4,
    moment: Moment = MOMENT,
    readings: Sequence[Reading] = (),
    path: str = "composite",
    warmth: str = "cold",
    how: str = "completed",
) -> VisitRecord:
    """A visit of the route above whose first ``looked`` steps were looked at, the next skipped."""
    states = [StepState.LOOKED] * looked + [StepState.SKIPPED] + [StepState.AHEAD] * len(ROUTE)
    steps = [StepRecord(n, step, state, moment) for n, (step, state) in enumerate(zip(ROUTE, states, strict=False), 1)]
    return VisitRecord(
        number, label, "glance", moment, moment, how, tuple(findings), tuple(readings), "A glance", path, warmth,
        tuple(steps),
    )  # fmt: skip
