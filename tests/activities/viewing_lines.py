"""Every line that a viewing along the routes that ship can put on the screen."""

from functools import cache
from itertools import product
from pathlib import Path

from appliance.activities.past import Past
from appliance.activities.viewing_plan import MORE, NOT_SAID, PATHS, WARMTHS, Route, Sort, Step
from appliance.activities.viewing_record import Described, Ended, Marked, Noted, Outcome, Record, TakenBack
from appliance.activities.viewing_table import State
from appliance.activities.viewing_words import (
    FULL_WORDS,
    LAST_PAGE_JUDGED,
    NO_CODE,
    OFF_KEPT,
    ON_KEPT,
    Said,
    card_pages,
    end_pages,
    kept_words,
    load_pages,
    lost_words,
    note_page,
    pages,
    ready_pages,
)
from appliance.findings import load_findings
from appliance.records.entries import MOST_FINDINGS, Finding, Moment, RouteStep, StepRecord, StepState, VisitRecord
from appliance.routes import find_route, route_names
from appliance.service.past_pages import past_pages
from appliance.service.scribe import VISIT_FULL
from appliance.verdict import Facts, Seen, judge, load_rules
from appliance.verdict.judging import HEADLINES
from appliance.verdict.words import wrapped

NOWHERE = Path("there/is/none")
FINDINGS = load_findings(NOWHERE)
ANYWHERE = (None, *range(1, 10))
LARGEST = 9999
"""A visit's number: nobody views more sets with one box."""


@cache
def lines() -> tuple[str, ...]:
    """Each once, in order."""
    found: dict[str, None] = {}
    for page in (*_of_routes(), *_of_notes(), *_of_states(), *_of_records(), *_of_verdicts(), *_of_past()):
        found |= dict.fromkeys(line for line in page if line)
    return tuple(found)


def _of_routes() -> list[tuple[str, ...]]:
    routes = [find_route(name, NOWHERE, FINDINGS) for name in route_names(NOWHERE)]
    found: list[tuple[str, ...]] = [(route.title,) for route in routes]
    for route in routes:
        for step in route.steps:
            found += _of_step(route, step)
    return found


def _of_step(route: Route, step: Step) -> list[tuple[str, ...]]:
    said = Said(State.STEP, _outcome(len(route.steps)), step, "", 2, None, "", 1)
    found: list[tuple[str, ...]] = [*pages(said)]
    found += ready_pages(step) if step.sort is Sort.MOVING else ()
    return [*found, *(load_pages(step) if step.sort is Sort.LOAD else ())]


def _of_notes() -> list[tuple[str, ...]]:
    names = [fault.name for fault in FINDINGS.kinds.values()]
    names += [MORE, *(MORE + fault.group for fault in FINDINGS.kinds.values())]
    found: list[tuple[str, ...]] = [note_page(name, 2, None) for name in names]
    return [*found, *(note_page("Any", severity, zone) for severity, zone in product((1, 2, 3), ANYWHERE))]


def _of_states() -> list[tuple[str, ...]]:
    step = find_route("viewing", NOWHERE, FINDINGS).steps[0]
    found: list[tuple[str, ...]] = [LAST_PAGE_JUDGED]
    for state, zone in product((State.CUT, State.ENDING, State.ZONE, State.DANGER, State.SPARED), ANYWHERE):
        for place in (0, 60):
            found += pages(Said(state, _outcome(60), step, "Any", 3, zone, "Any", place))
    for number, path, warmth in product((0, 60), PATHS, (NOT_SAID, *WARMTHS)):
        found += card_pages(number, path, warmth)
    for danger, left in product((True, False), (0, 99)):
        found += end_pages(_outcome(60), danger=danger, open_records=left)
    found += end_pages(_outcome(60, 0), danger=False, open_records=0)
    return found


def _of_records() -> list[tuple[str, ...]]:
    noted = [Noted(1, 0.0, "", "", severity, zone, "Any") for severity, zone in product((1, 2, 3), ANYWHERE)]
    records: tuple[Record, ...] = (
        noted[0],
        TakenBack(2, 0.0, 1),
        Marked(3, 0.0, 1, "looked"),
        Described(4, 0.0, "", ""),
        Ended(5, 0.0, ""),
    )
    return [
        *(kept_words(record, "Any") for record in (*noted, records[1])),
        *(lost_words(record, "Any") for record in records),
        ("Nothing to take back",),
        FULL_WORDS,
        NO_CODE,
        OFF_KEPT,
        ON_KEPT,
        ("Any", "is noted already"),
        VISIT_FULL,
        ("being kept", "being taken back"),
    ]


def _of_verdicts() -> list[tuple[str, ...]]:
    rules = load_rules(FINDINGS, NOWHERE)
    said = [*HEADLINES.values(), *(rule.says for rule in rules.rules), *(excuse.says for excuse in rules.excuses)]
    said += [limit.says for limit in rules.limits]
    for (key, fault), severity in product(FINDINGS.kinds.items(), (1, 2, 3)):
        facts = Facts((Seen(key, severity),), 9, 12, "", "")
        said += [reason.says for reason in judge(facts, FINDINGS, rules).reasons if fault.name in reason.says]
    return [page for words in dict.fromkeys(said) for page in wrapped(words)]


def _of_past() -> list[tuple[str, ...]]:
    found: list[tuple[str, ...]] = [Past(0.0).page]
    for answer in (None, ()):
        past = Past(0.0)
        past.answer(past.drain()[0], answer, 0.0)  # type: ignore[arg-type] # a wish is no line for the log
        found.append(past.page)
    moment = Moment("", 0.0, 0.0, False)
    every = [
        Finding(n, moment, "", key, 2, None, False, fault.name) for n, (key, fault) in enumerate(FINDINGS.kinds.items())
    ]
    spread = [Finding(n, moment, "", "any", 2, n % 10 or None, False, "Any") for n in range(MOST_FINDINGS)]
    anywhere = [Finding(n or 0, moment, "", str(n), 2, n, False, "Any") for n in ANYWHERE]
    steps = tuple(StepRecord(n, RouteStep("", ""), StepState.LOOKED, moment) for n in range(60))
    for notes, label, title, path, warmth in product(
        ([], every, spread, anywhere), ("", "Any"), ("A long look", ""), (*PATHS, ""), (*WARMTHS, "")
    ):
        visit = VisitRecord(
            LARGEST, label, "", moment, None, "", tuple(notes), (), title, path, warmth, steps if title else ()
        )
        found += [*past_pages(visit).pages, past_pages(visit).beyond]
    past = Past(0.0)
    past.answer(past.drain()[0], (past_pages(visit),), 0.0)  # type: ignore[arg-type] # as above
    return [*found, past.page]


def _outcome(steps: int, number: int = LARGEST) -> Outcome:
    notes = tuple(Noted(n, 0.0, "", "", 3, 9, "Any") for n in range(200))
    return Outcome(number, notes, frozenset(range(steps)), steps, "composite", "cold")
