"""Viewings for the box: the routes there are, what is known of faults, and how one begins or is taken up again."""

import logging
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TypeVar

from appliance.activities.hosted import Activity, Hosted
from appliance.activities.hosted_viewing import HostedViewing
from appliance.activities.viewing import Viewing
from appliance.activities.viewing_plan import Guide
from appliance.activities.viewing_record import Noted, Outcome
from appliance.activities.viewing_words import Tally
from appliance.errors import Refused
from appliance.findings import OWN_FILE as OWN_FINDINGS
from appliance.findings import Findings, load_findings
from appliance.records.entries import Finding, Moment, StepRecord, StepState, VisitRecord
from appliance.records.outcome import record_of
from appliance.records.tally import tally_pages
from appliance.routes import OWN_FOLDER, guide, route_names
from appliance.verdict import Rules, judge_for, load_rules
from appliance.verdict.rules import OWN_FILE as OWN_RULES
from appliance.video.formats import Format

log = logging.getLogger(__name__)

USUAL = "viewing"
"""The route that stands first in the list."""

T = TypeVar("T")

_NOWHERE = Path("/nonexistent")
"""As the place of an own file: what ships, alone."""


@dataclass(frozen=True)
class Known:
    """The routes that can be read, what is known of faults, and what is wrong with the files of the rest."""

    guides: Sequence[Guide]
    findings: Findings
    rules: Rules
    mistakes: Sequence[Refused]

    def guide(self, name: str) -> Guide | None:
        """The guide along the route of that name."""
        return next((guide for guide in self.guides if guide.route.name == name), None)


def load_known() -> Known:
    """Everything from its files; in place of a wrong one of the box's own what ships, and a wrong route is left out."""
    own = (OWN_FINDINGS, OWN_RULES, OWN_FOLDER)
    return _load() if any(path.exists() for path in own) else _as_shipped()


@cache
def _as_shipped() -> Known:
    return _load()


def _load() -> Known:
    mistakes: list[Refused] = []
    findings = _first_right(load_findings, lambda: load_findings(_NOWHERE), mistakes)
    rules = _first_right(lambda: load_rules(findings), lambda: load_rules(findings, _NOWHERE), mistakes)
    guides: list[Guide] = []
    for name in sorted(route_names(), key=lambda name: (name != USUAL, name)):
        try:
            guides.append(guide(name, findings=findings))
        except Refused as mistake:
            mistakes.append(mistake)
    return Known(guides, findings, rules, mistakes)


class Viewings:
    """``moment`` tells, of a time of the monotonic clock, the boot it was in and when that was by the wall clock.

    ``low``: until when the box was short of voltage, in monotonic seconds; a visit that began later was not.
    ``words_time``: seconds a step's words stand.
    """

    def __init__(self, moment: Callable[[float], Moment], low: Callable[[], float], words_time: float) -> None:
        self._moment, self._low, self._words_time = moment, low, words_time

    def activity(self, guide: Guide, known: Known) -> Activity:
        """The entry of the list; a script calls it ``view`` and the route's name."""

        def begin(fmt: Format, now: float) -> Hosted:
            judge = judge_for(guide.route, known.findings, known.rules, lambda: self._low() >= now)
            tally = _tally(guide, known, lambda: self._moment(now))
            viewing = Viewing(guide, 0, fmt, now, judge=judge, tally=tally, words_time=self._words_time)
            return HostedViewing(viewing, now)

        return Activity(guide.route.title, begin, key=key_of(guide.route.name))

    def resumed(self, record: VisitRecord, known: Known) -> Activity | None:
        """A visit that was cut short, taken up again; None when its route is another now, or gone."""
        guide = known.guide(record.route)
        if guide is None or [step.key for step in guide.route.steps] != [step.step.key for step in record.steps]:
            log.error("visit %d was left open and cannot be taken up: its route is another now", record.id)
            return None
        log.info("visit %d: left open, %d noted", record.id, len(record.noted))
        tally = _tally(guide, known, lambda: record.begun)

        def begin(fmt: Format, now: float) -> Hosted:
            judge = judge_for(guide.route, known.findings, known.rules, lambda: record.low or self._low() >= now)
            viewing = Viewing.resumed(
                guide, record.id, fmt, now, notes=_notes(record), marks=_marks(record), path=record.path,
                warmth=record.warmth, judge=judge, tally=tally, words_time=self._words_time,
                last=max((finding.number for finding in record.findings), default=0), noted=len(record.findings),
                left=_left(record, guide),
            )  # fmt: skip
            return HostedViewing(viewing, now)

        return Activity(guide.route.title, begin, key=key_of(record.route))


def key_of(route: str) -> str:
    """What a script calls a viewing along the route of that name."""
    return f"view {route}"


def _first_right(first: Callable[[], T], other: Callable[[], T], mistakes: list[Refused]) -> T:
    try:
        return first()
    except Refused as mistake:
        mistakes.append(mistake)
        return other()


def _tally(guide: Guide, known: Known, begun: Callable[[], Moment]) -> Tally:
    """From what the viewing itself knows, not from the disk: that may be slow, or the thing that fails."""

    def pages(outcome: Outcome) -> tuple[str, ...]:
        if not outcome.number:  # without one it could not be told from another
            return ()
        return tally_pages(record_of(outcome, guide.route, begun()), known.findings.kinds)

    return pages


def _notes(record: VisitRecord) -> list[Noted]:
    return [
        Noted(note.number, note.moment.at, note.step, note.kind, note.severity, note.zone, note.title)
        for note in record.noted
    ]


_MARKS = {StepState.LOOKED: "looked", StepState.SKIPPED: "skipped"}


def _marks(record: VisitRecord) -> dict[int, str]:
    """What became of the steps."""
    return {step.number: _MARKS[step.state] for step in record.steps if step.state in _MARKS}


def _left(record: VisitRecord, guide: Guide) -> bool:
    """Whether the last step marked was left. A note that was taken back tells as well as one that counts."""
    marked = [step for step in record.steps if step.state in _MARKS]
    notes = [note for note in record.findings if note.kind in guide.kinds and not guide.kinds[note.kind].danger]
    return not any(_not_left(marked[-1], note) for note in notes if marked)


def _not_left(step: StepRecord, note: Finding) -> bool:
    """A step is marked with a note, and again when it is left; danger marks none."""
    same = (note.step, note.moment.boot) == (step.step.key, step.moment.boot)
    return same and note.moment.at >= step.moment.at
