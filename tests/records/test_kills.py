"""A program killed in the midst of a soak, and of a visit, again and again over one file.

FIELDMOUSE_KILLS and FIELDMOUSE_VISIT_KILLS set how many times in mid-soak and in mid-visit (60 and 30 in the ordinary
suite, 300 of each in CI).
"""

import os
import select
import signal
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from random import Random

from appliance.activities.soak_event import SoakEvent
from appliance.records.entries import RouteStep, StepState
from appliance.records.store import Store
from tests.records.workload import Facts, facts_in, lost, made

KILLS, MINUTES = int(os.environ.get("FIELDMOUSE_KILLS", "60")), 40
VISIT_KILLS, STEPS = int(os.environ.get("FIELDMOUSE_VISIT_KILLS", "30")), 14
Go = Callable[[Store, int], None]


def _go_until_killed(go: Go, folder: Path, acknowledge: int, boot: str) -> None:
    """Go on with what was cut, or begin; then the next; never comes back."""
    store = made(folder, boot)
    assert store.open() == ()
    while True:
        go(store, acknowledge)


def _soak(store: Store, acknowledge: int) -> None:
    cut = store.unfinished()
    soak = cut.id if cut else store.begin_soak("bench", "", "", 0.0)
    for number in range(len(cut.events) + 1 if cut else 1, MINUTES):
        store.add_event(soak, SoakEvent("observation", 0.0, 60.0 * number, 0, f"words {number}"))
        os.write(acknowledge, f"1\tevent {soak} {number} words {number}\n".encode())
        store.heartbeat(soak, 0.0, 60.0 * number, 0)
        os.write(acknowledge, f"{60 * number}\tbeat {soak} {number}\n".encode())
    store.end_soak(soak, 0.0, "completed")
    os.write(acknowledge, f"1\tend {soak} completed\n".encode())


def _visit(store: Store, acknowledge: int) -> None:
    """Go on with the visit that was cut, behind its last step looked at, or begin one, to its end."""

    def say(key: str, number: int = 1) -> None:
        os.write(acknowledge, f"{number}\t{key}\n".encode())

    cut, visits = store.visits.unfinished(), store.visits
    steps = [RouteStep(f"step {count}", f"Step {count}") for count in range(1, STEPS + 1)]
    visit = cut.id if cut else visits.begin("walnut", "quick", 0.0, steps=steps)
    looked = sum(step.state is StepState.LOOKED for step in cut.steps) if cut else 0
    say(f"visit {visit} walnut")
    for number in range(looked + 1, STEPS + 1):
        visits.mark_step(visit, number, StepState.REACHED, 1.0)
        finding = visits.add_finding(visit, 2.0, f"step {number}", "overscan", 2, None, "Overscan")
        say(f"finding {finding} step {number}")  # what stands on the screen is on the disk
        visits.undo(visits.add_finding(visit, 3.0, f"step {number}", "tilt", 1))
        say(f"undone {finding + 1}")
        visits.mark_step(visit, number, StepState.LOOKED, 4.0)
        say(f"step {visit} {number}", 2)
    visits.end(visit, 5.0, "completed")
    say(f"visit end {visit} completed")


def _child(go: Go, folder: Path, boot: str) -> tuple[int, int]:
    """A fork that goes on: its number, and the end of a pipe on which it acknowledges."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            _go_until_killed(go, folder, write, boot)
        finally:
            os._exit(1)
    os.close(write)
    return child, read


def _killed(child: int, read: int, chance: Random) -> bytes:
    """Kill it after some acknowledgements and a moment more, whatever it is doing; what it had acknowledged."""
    said, enough = b"", chance.randint(1, 8)
    while said.count(b"\n") < enough and (more := os.read(read, 4096)):
        said += more
    until = time.monotonic() + chance.uniform(0.0, 0.002)
    while time.monotonic() < until:
        select.select([], [], [], 0)
    os.kill(child, signal.SIGKILL)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -signal.SIGKILL
    while more := os.read(read, 65536):
        said += more
    os.close(read)
    return said


def _acknowledged(go: Go, folder: Path, kills: int) -> Facts:
    """What the forks said while they were killed one after the other."""
    acknowledged: Facts = {}
    chance = Random(300)  # noqa: S311 # a seeded choice, no secret
    for kill in range(kills):
        said = _killed(*_child(go, folder, f"boot {kill // 20}"), chance)
        for line in said.decode().splitlines():
            number, key = line.split("\t")
            acknowledged[key] = max(float(number), acknowledged.get(key, 0))
    return acknowledged


def test_a_program_killed_again_and_again_loses_nothing(memory: Path) -> None:
    """Each time the next one goes on with the soak; every acknowledged record is there and the file is whole."""
    acknowledged = _acknowledged(_soak, memory, KILLS)
    assert len(acknowledged) > 2 * KILLS
    with closing(sqlite3.connect(memory / "records.sqlite")) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert connection.execute("SELECT count(*) FROM soaks WHERE end_boot IS NULL").fetchone()[0] <= 1
        assert lost(acknowledged, facts_in(connection)) == []


def test_a_program_killed_in_mid_visit_loses_no_finding(memory: Path) -> None:
    """Each time the visit is found again and gone on with; what was acknowledged is there, and one is unfinished."""
    acknowledged = _acknowledged(_visit, memory, VISIT_KILLS)
    assert len(acknowledged) > VISIT_KILLS
    print(f"{VISIT_KILLS} kills, {len(acknowledged)} acknowledged records")
    with closing(sqlite3.connect(memory / "records.sqlite")) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert connection.execute("SELECT count(*) FROM visits WHERE end_boot IS NULL").fetchone()[0] <= 1
        assert lost(acknowledged, facts_in(connection)) == []
