"""Visits side by side, like with like: what one has, and whether the others looked there at all."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import tzinfo

from appliance.records import saying
from appliance.records.entries import Finding, StepState, VisitRecord
from appliance.records.judged import Knowledge, verdict_on

NOT_LOOKED_AT, NOT_NOTED = "not looked at", "not noted"


@dataclass(frozen=True)
class Row:
    """A name, and what each visit has of it."""

    name: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Comparison:
    """``head``: what the visits are; ``faults``: a row for each kind that any of them noted, the worst first.

    ``warnings``: what makes them hard to compare.
    """

    head: tuple[Row, ...]
    faults: tuple[Row, ...]
    warnings: tuple[str, ...]


def compare(records: Sequence[VisitRecord], known: Knowledge, zone: tzinfo | None = None) -> Comparison:
    """The visits in the order given."""
    head = (
        ("Visit", [str(record.id) for record in records]),
        ("Set", [saying.label(record) for record in records]),
        ("When", [saying.when(record, zone) for record in records]),
        ("Signal", [saying.path(record) for record in records]),
        ("Warmth", [saying.warmth(record) for record in records]),
        ("Route", [saying.route(record) for record in records]),
        ("Steps", [saying.looked(record) for record in records]),
        ("Verdict", [verdict_on(record, known).headline for record in records]),
    )
    return Comparison(
        tuple(Row(name, tuple(cells)) for name, cells in head), _faults(records, known), _warnings(records)
    )


def _faults(records: Sequence[VisitRecord], known: Knowledge) -> tuple[Row, ...]:
    """By the kinds themselves: one that was called otherwise when another visit was made is the same fault."""
    noted = [finding for record in records for finding in record.noted]
    noted.sort(key=lambda finding: -finding.severity)
    worsts: dict[str, Finding] = {}
    for finding in noted:
        worsts.setdefault(finding.kind, finding)
    return tuple(
        Row(saying.kind(worst, known.findings.kinds), tuple(_cell(record, kind, noted) for record in records))
        for kind, worst in worsts.items()
    )


def _cell(record: VisitRecord, kind: str, noted: Sequence[Finding]) -> str:
    """What the visit noted of the fault; else whether it looked at a step where another visit noted it."""
    here = [finding for finding in record.noted if finding.kind == kind]
    if here:
        said = (f"{saying.severity(finding)}, {saying.place(finding)}" for finding in here)
        return "; ".join(dict.fromkeys(said))
    steps = {finding.step for finding in noted if finding.kind == kind}
    looked = {step.step.key for step in record.steps if step.state is StepState.LOOKED}
    return NOT_NOTED if steps & looked else NOT_LOOKED_AT


def _warnings(records: Sequence[VisitRecord]) -> tuple[str, ...]:
    unlike = (
        ("the way of the signal", {saying.path(record) for record in records}),
        ("warmth", {saying.warmth(record) for record in records}),
        ("route", {record.route for record in records}),
    )
    named = [name for name, values in unlike if len(values) > 1]
    warnings = [f"Not like with like: {', '.join(named)} differ" + ("s" if len(named) == 1 else "")] if named else []
    if unsaid := [str(record.id) for record in records if saying.warmth(record) == saying.WARMTH_NOT_SAID]:
        warnings.append(f"Whether the set was cold or warm was not said in visit {', '.join(unsaid)}")
    return (*warnings, "What was not noted is not therefore absent.")
