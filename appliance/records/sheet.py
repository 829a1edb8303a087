"""The sheet of a visit: one page that holds everything and refers to nothing outside itself."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import tzinfo
from pathlib import Path

from appliance import __version__
from appliance.patterns.catalogue import catalogue
from appliance.records import saying
from appliance.records.entries import Finding, StepRecord, StepState, VisitRecord
from appliance.records.judged import Knowledge, verdict_on
from appliance.records.page import template
from appliance.records.thumbnail import thumbnail
from appliance.verdict import Verdict

TEMPLATE = Path(__file__).with_name("sheet.html")
LETTERS = "abcdefghijklmnopqrstuvwxyz"


@dataclass(frozen=True)
class Noted:
    """A finding in words; ``mark`` stands for it in the drawing of its step. What is not known is empty."""

    mark: str
    kind: str
    severity: str
    place: str
    zone: int | None
    facts: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Zone:
    """A ninth of the screen in the drawing: its corner in units of its own size, and the marks in it."""

    x: int
    y: int
    number: int
    marks: str


@dataclass(frozen=True)
class StepFindings:
    """A step at which something was noted; ``picture`` is empty where no pattern is known."""

    title: str
    state: str
    picture: str
    zones: tuple[Zone, ...]
    everywhere: str
    findings: tuple[Noted, ...]


def as_page(record: VisitRecord, known: Knowledge, zone: tzinfo | None = None) -> str:
    """The sheet as HTML; the time is told in ``zone``, None for this machine's own."""
    verdict = verdict_on(record, known)
    return template(TEMPLATE).render(
        record=record,
        label=saying.label(record),
        facts=facts(record, zone),
        verdict=verdict,
        steps=by_step(record, known),
        not_looked_at=not_looked_at(record, verdict, known),
        looked_at=[saying.plain(step.step.title) for step in record.steps if step.state is StepState.LOOKED],
        readings=[_reading(entry.gauge, entry.value, entry.unit, entry.uncertainty) for entry in record.readings],
        cautions=cautions(verdict, known),
        version=__version__,
    )


def facts(record: VisitRecord, zone: tzinfo | None = None) -> list[tuple[str, str]]:
    """What the head of the sheet says, name by name."""
    return [
        ("When", saying.when(record, zone)),
        ("Signal", saying.path(record)),
        ("Warmth", saying.warmth(record)),
        ("Route", saying.route(record)),
        ("Steps", saying.looked(record)),
        ("Ended", saying.ending(record)),
        *([("The box", "short of voltage meanwhile")] if record.low else []),
    ]


def by_step(record: VisitRecord, known: Knowledge) -> list[StepFindings]:
    """The findings that were not taken back, in the order of the route; those of unknown steps come last.

    What a kind means is told where it comes first, and only referred to after that.
    """
    left = {finding.id: finding for finding in record.noted}
    groups, told = list[StepFindings](), dict[str, str]()
    for step in record.steps:
        here = [left.pop(number) for number in list(left) if left[number].step == step.step.key]
        if here:
            groups.append(_group(here, known, step, told))
    if left:
        groups.append(_group(list(left.values()), known, None, told))
    return groups


def not_looked_at(record: VisitRecord, verdict: Verdict, known: Knowledge) -> list[str]:
    """What nobody looked at, in words: steps of the route, what this visit could not judge, what the route left out."""
    states = {saying.state(step): list[str]() for step in record.steps if step.state is not StepState.LOOKED}
    for step in record.steps:
        if step.state is not StepState.LOOKED:
            states[saying.state(step)].append(saying.plain(step.step.title))
    steps = [f"{state.capitalize()}: {'; '.join(titles)}" for state, titles in states.items()]
    untested = [] if any("RGB" in words for words in verdict.limits) else [saying.NOT_TESTED]
    return [*steps, *verdict.limits, *untested, *_left_out(record, known)]


def _left_out(record: VisitRecord, known: Knowledge) -> Iterator[str]:
    """The faults that no picture of the route shows plainly; nothing where none of them is known."""
    shown = {step.step.pattern for step in record.steps} & set(catalogue())
    noted = {finding.kind for finding in record.noted}
    names = [
        fault.name
        for kind, fault in known.findings.kinds.items()
        if kind not in noted and (pictures := _pictures(fault.patterns)) and not shown & pictures
    ]
    if shown and names:
        yield f"No picture of this route shows plainly: {'; '.join(names)}"


def _pictures(patterns: Sequence[str]) -> set[str]:
    """Those that are looked at: a tone is heard."""
    return {name for name in patterns if name in catalogue() and not catalogue()[name].sounding}


def cautions(verdict: Verdict, known: Knowledge) -> list[str]:
    """Those of the findings, and what goes for every set."""
    always = [known.findings.cautions[name] for name in ("weight", "live") if name in known.findings.cautions]
    return list(dict.fromkeys((*verdict.cautions, *always)))


def _group(findings: list[Finding], known: Knowledge, step: StepRecord | None, told: dict[str, str]) -> StepFindings:
    title = "At another time" if step is None else saying.plain(step.step.title)
    noted = tuple(_noted(finding, n, title, known, told) for n, finding in enumerate(findings))
    marks = {number: [one.mark for one in noted if one.zone == number] for number in range(1, 10)}
    zones = tuple(Zone((n - 1) % 3, (n - 1) // 3, n, " ".join(marks[n])) for n in marks)
    everywhere = " ".join(one.mark for one in noted if one.zone is None)
    if step is None:
        return StepFindings(title, "", "", zones, everywhere, noted)
    picture = thumbnail(step.step.pattern, step.step.variant)
    return StepFindings(title, saying.state(step), picture, zones, everywhere, noted)


def _noted(finding: Finding, place: int, title: str, known: Knowledge, told: dict[str, str]) -> Noted:
    mark = LETTERS[place % 26] + (str(place // 26) if place >= 26 else "")
    zone = finding.zone if saying.place(finding) != saying.ALL_OVER else None
    words = saying.kind(finding, known.findings.kinds), saying.severity(finding), saying.place(finding)
    before = told.get(finding.kind)
    told.setdefault(finding.kind, f"{title}, {mark}")
    meaning = _meaning(finding, known) if before is None else [("Meaning", f"told at {before}")]
    known_kind = finding.kind in known.findings.kinds
    return Noted(mark, *words, zone, tuple(meaning) if known_kind else ())


def _meaning(finding: Finding, known: Knowledge) -> Iterator[tuple[str, str]]:
    fault = known.findings.kinds[finding.kind]
    yield "Seen", fault.seen
    yield "Likely", fault.causes
    yield "Mended by", fault.mends
    yield "Decides", fault.test
    yield "Weighs", fault.why
    if fault.apart:
        yield "Not told apart", fault.apart
    if fault.place:
        yield "By its place", fault.place


def _reading(gauge: str, value: float, unit: str, uncertainty: float | None) -> tuple[str, str]:
    within = "" if uncertainty is None else f" ± {uncertainty:g}"
    return saying.plain(gauge), f"{value:g}{within} {saying.plain(unit)}"
