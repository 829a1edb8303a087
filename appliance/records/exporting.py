"""Visits as plain data: a table of findings as CSV, or everything as JSON."""

import csv
import io
import json
from collections.abc import Iterator, Sequence
from datetime import tzinfo
from typing import Any

from appliance.records import saying
from appliance.records.entries import Finding, StepState, VisitRecord
from appliance.records.saying import Kinds

COLUMNS = (
    "visit", "set", "begun", "signal", "warmth", "route", "steps", "step", "finding", "severity", "place", "taken back",
)  # fmt: skip


def as_csv(records: Sequence[VisitRecord], kinds: Kinds, zone: tzinfo | None = None) -> str:
    """One line for each finding, and one for a visit without any (RFC 4180).

    A cell that a spreadsheet would reckon with gets an apostrophe before it, so that hostile text stays text.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    writer.writerows([_harmless(cell) for cell in row] for record in records for row in _rows(record, kinds, zone))
    return out.getvalue()


def as_json(records: Sequence[VisitRecord], kinds: Kinds, zone: tzinfo | None = None) -> str:
    """A list of visits with their steps, findings and readings."""
    return json.dumps([described(record, kinds, zone) for record in records], indent=2, ensure_ascii=False)


def described(record: VisitRecord, kinds: Kinds, zone: tzinfo | None = None) -> dict[str, Any]:
    """A visit as names and values."""
    return {
        **summary(record, zone),
        "steps": [{"title": saying.plain(step.step.title), "state": saying.state(step)} for step in record.steps],
        "findings": [_finding(record, finding, kinds) for finding in record.findings],
        "readings": [
            {"gauge": entry.gauge, "value": entry.value, "unit": entry.unit, "uncertainty": entry.uncertainty}
            for entry in record.readings
        ],
    }


def summary(record: VisitRecord, zone: tzinfo | None = None) -> dict[str, Any]:
    """What a list of visits tells of one; ``begun`` is None when no clock told."""
    begun = saying.when(record, zone)
    return {
        "number": record.id,
        "set": saying.plain(record.label),
        "begun": None if begun == saying.NO_TIME else begun,
        "signal": saying.path(record),
        "warmth": saying.warmth(record),
        "route": saying.route(record),
        "ended": saying.ending(record),
        "noted": len(record.noted),
    }


def _finding(record: VisitRecord, finding: Finding, kinds: Kinds) -> dict[str, Any]:
    return {
        "step": saying.step_title(record, finding.step),
        "finding": saying.kind(finding, kinds),
        "severity": saying.severity(finding),
        "place": saying.place(finding),
        "zone": finding.zone,
        "taken back": finding.undone,
    }


def _rows(record: VisitRecord, kinds: Kinds, zone: tzinfo | None) -> Iterator[list[str]]:
    looked = sum(step.state is StepState.LOOKED for step in record.steps)
    visit = [
        str(record.id), saying.label(record), saying.when(record, zone), saying.path(record), saying.warmth(record),
        saying.route(record), f"{looked} of {len(record.steps)}",
    ]  # fmt: skip
    for finding in record.findings:
        told = _finding(record, finding, kinds)
        words = [told[name] for name in ("step", "finding", "severity", "place")]
        yield [*visit, *words, "yes" if finding.undone else "no"]
    if not record.findings:
        yield [*visit, "", "nothing noted", "", "", ""]


def _harmless(cell: str) -> str:
    return f"'{cell}" if cell[:1] in ("=", "+", "-", "@") else cell
