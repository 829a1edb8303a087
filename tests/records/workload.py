"""Two soaks, a visit and one that is deleted, each record acknowledged once its commit has returned; what a file holds.

Run as ``python -m tests.records.workload FOLDER ACKNOWLEDGEMENTS MODE``. A fact is a key with a number: a record is
there if its key is, with a number no smaller (a heartbeat takes the place of an earlier one).
"""

import os
import sqlite3
import sys
from collections.abc import Callable, Iterator
from itertools import chain
from pathlib import Path
from typing import Any

from appliance.activities.soak_event import SoakEvent
from appliance.records.entries import RouteStep, StepState
from appliance.records.store import Store
from appliance.records.trouble import StoreTrouble

Fact = tuple[str, float]
Facts = dict[str, float]

PLAN = '{"phases": [' + ", ".join(f'{{"pattern": "number {number}", "seconds": 60}}' for number in range(60)) + "]}"
"""As long as the plan of a four-hour soak: more than a page of the file."""

MODES = {
    "full": "",
    "normal": "PRAGMA synchronous = NORMAL",
    "off": "PRAGMA synchronous = OFF",
    "trusting": "",
}
"""``trusting`` leaves out ``psow=0``: it believes that a torn write spares its neighbours."""


def made(folder: Path, boot: str = "boot-a", connect: Callable[..., sqlite3.Connection] = sqlite3.connect) -> Store:
    """A store over ``folder`` with a clock that was never set."""
    return Store(folder, boot_id=boot, wall=lambda: (0.0, False), mountinfo=str, connect=connect)


def soak(store: Store, minutes: int, start: float = 0.0) -> Iterator[Fact]:
    """A soak from its start to its end; yields a fact when it was acknowledged."""
    number = store.begin_soak("bench", "On the bench", PLAN, start)
    yield f"soak {number} bench", 1
    for minute in range(minutes):
        for second in (0, 30):
            elapsed = 60.0 * minute + second
            store.heartbeat(number, start + elapsed, elapsed, minute // 5, 48.5, False)
            yield f"beat {number} {minute}", elapsed
        store.add_event(number, SoakEvent("observation", start + elapsed, elapsed, minute // 5, f"words {minute}" * 20))
        yield f"event {number} {minute + 1} {f'words {minute}' * 20}", 1
    store.end_soak(number, start + 60 * minutes, "completed")
    yield f"end {number} completed", 1


def visit(store: Store, findings: int) -> Iterator[Fact]:
    """A visit from its start to its end; yields a fact when it was acknowledged."""
    steps = [RouteStep(f"step {count}", f"Step {count}", "crosshatch", "white") for count in range(findings + 4)]
    number = store.visits.begin("the walnut one", "quick", 1.0, title="Quick", warmth="cold", steps=steps)
    yield f"visit {number} the walnut one", 1
    for count in range(findings):
        store.visits.mark_step(number, count + 1, StepState.REACHED, 2.0 + count)
        yield f"step {number} {count + 1}", 1
        finding = store.visits.add_finding(number, 2.0 + count, f"step {count}", "overscan", 2, count % 9 + 1)
        yield f"finding {finding} step {count}", 1
        reading = store.visits.add_reading(number, 2.5 + count, "left margin", count / 2, "%", 0.5)
        yield f"reading {reading} {count / 2}", 1
        store.visits.mark_step(number, count + 1, StepState.LOOKED, 2.7 + count)
        yield f"step {number} {count + 1}", 2
    store.visits.describe(number, path="modulator")
    yield f"path {number} modulator", 1
    store.visits.undo(finding)
    yield f"undone {finding}", 1
    store.visits.end(number, 99.0, "completed")
    yield f"visit end {number} completed", 1


def deleted(store: Store) -> Iterator[Fact]:
    """A visit that is deleted again, taking nothing along; yields a fact when that was acknowledged."""
    number = store.visits.begin("the white one", "quick", 200.0)
    store.visits.add_finding(number, 201.0, "secret", "overscan", 1)
    store.visits.delete(number, 202.0)
    yield f"deleted {number}", 1


def facts_in(connection: sqlite3.Connection) -> Facts:
    """What plain SQLite finds in a file; nothing in one whose tables were never made."""
    if not connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0]:
        return {}
    queries = (
        "SELECT 'soak ' || id || ' ' || name, 1 FROM soaks",
        "SELECT 'end ' || id || ' ' || how, 1 FROM soaks WHERE end_boot NOT NULL",
        "SELECT 'beat ' || soak || ' ' || minute, max(elapsed) FROM heartbeats GROUP BY soak, minute",
        "SELECT 'event ' || soak || ' ' || number || ' ' || words, 1 FROM events",
        "SELECT 'visit ' || id || ' ' || label, 1 FROM visits WHERE NOT deleted",
        "SELECT 'deleted ' || id, 1 FROM visits WHERE deleted AND id NOT IN (SELECT visit FROM findings)",
        "SELECT 'path ' || id || ' ' || path, 1 FROM visits",
        "SELECT 'step ' || visit || ' ' || number, CASE state WHEN 'ahead' THEN 0 WHEN 'reached' THEN 1 ELSE 2 END"
        " FROM steps",  # a step only goes on
        "SELECT 'visit end ' || id || ' ' || how, 1 FROM visits WHERE end_boot NOT NULL",
        "SELECT 'finding ' || id || ' ' || step, 1 FROM findings",
        "SELECT 'undone ' || id, 1 FROM findings WHERE undone",
        "SELECT 'reading ' || id || ' ' || value, 1 FROM readings",
    )
    return {key: number for query in queries for key, number in connection.execute(query)}


def facts_of(store: Store) -> Facts:
    """What the store itself tells."""
    facts: Facts = {}
    for number in [record.id for record in store.soaks()]:
        facts.update(_facts_of_soak(store.soak(number)))
    numbers = [record.id for record in store.visits.last()]
    for number in numbers:
        facts.update(_facts_of_visit(store.visits.one(number)))
    return facts | {f"deleted {number}": 1 for number in range(1, max(numbers, default=0) + 2) if number not in numbers}


def _facts_of_soak(record: Any) -> Facts:
    facts: Facts = {f"soak {record.id} {record.name}": 1}
    facts |= {f"end {record.id} {record.how}": 1} if record.ended else {}
    for beat in record.beats:
        key = f"beat {record.id} {int(beat.elapsed // 60)}"
        facts[key] = max(beat.elapsed, facts.get(key, 0))
    return facts | {f"event {record.id} {event.number} {event.words}": 1 for event in record.events}


_RANKS = {StepState.AHEAD: 0, StepState.REACHED: 1, StepState.LOOKED: 2, StepState.SKIPPED: 2}


def _facts_of_visit(record: Any) -> Facts:
    facts: Facts = {f"visit {record.id} {record.label}": 1}
    facts |= {f"visit end {record.id} {record.how}": 1} if record.ended else {}
    facts |= {f"path {record.id} {record.path}": 1}
    facts |= {f"step {record.id} {step.number}": _RANKS[step.state] for step in record.steps}
    facts |= {f"finding {finding.id} {finding.step}": 1 for finding in record.findings}
    facts |= {f"undone {finding.id}": 1 for finding in record.findings if finding.undone}
    return facts | {f"reading {reading.id} {reading.value}": 1 for reading in record.readings}


def lost(acknowledged: Facts, found: Facts) -> list[str]:
    """The facts that were acknowledged and are not there."""
    return [key for key, number in acknowledged.items() if found.get(key, -1) < number]


def opened(folder: Path, boot: str, mode: str) -> Store:
    """A store open in one of the :data:`MODES`."""
    store = made(folder, boot, _trusting if mode == "trusting" else sqlite3.connect)
    store.open()
    if MODES[mode]:
        store._database._open_connection().execute(MODES[mode])
    return store


def _trusting(address: str, **how: Any) -> sqlite3.Connection:
    connection: sqlite3.Connection = sqlite3.connect(address.replace("psow=0", "psow=1"), **how)
    return connection


def main(folder: Path, acknowledgements: Path, mode: str) -> None:
    """A soak and a visit; the store closed and opened again in another boot; another soak, left without closing."""
    acknowledge = os.open(acknowledgements, os.O_WRONLY | os.O_CREAT)
    store = opened(folder, "boot-a", mode)
    for key, number in chain(soak(store, 14), visit(store, 6), deleted(store)):
        os.write(acknowledge, f"{number}\t{key}\n".encode())
    store.close()
    store = opened(folder, "boot-b", mode)
    for key, number in soak(store, 12, 5.0):
        os.write(acknowledge, f"{number}\t{key}\n".encode())
    os._exit(0)  # as the power does it: nothing is closed


if __name__ == "__main__":
    try:
        main(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3])
    except StoreTrouble as trouble:
        sys.stderr.write(f"{trouble}\n")
        os._exit(2)
