"""A program killed in the midst of a soak, again and again over one file."""

import os
import select
import signal
import sqlite3
import time
from contextlib import closing
from pathlib import Path
from random import Random

from appliance.activities.soak_event import SoakEvent
from appliance.records.store import Store
from tests.records.workload import Facts, facts_in, lost, made

KILLS, MINUTES = 300, 40


def _soak_until_killed(folder: Path, acknowledge: int, boot: str) -> None:
    """Go on with the soak that was cut, or begin one; then the next; never comes back."""
    store = made(folder, boot)
    assert store.open() == ()
    while True:
        _soak(store, acknowledge)


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


def _child(folder: Path, boot: str) -> tuple[int, int]:
    """A fork that soaks: its number, and the end of a pipe on which it acknowledges."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            _soak_until_killed(folder, write, boot)
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


def test_a_program_killed_300_times_loses_nothing(memory: Path) -> None:
    """Each time the next one goes on with the soak; every acknowledged record is there and the file is whole."""
    acknowledged: Facts = {}
    chance = Random(300)  # noqa: S311 # a seeded choice, no secret
    for kill in range(KILLS):
        said = _killed(*_child(memory, f"boot {kill // 20}"), chance)
        for line in said.decode().splitlines():
            number, key = line.split("\t")
            acknowledged[key] = float(number)
    assert len(acknowledged) > 2 * KILLS
    with closing(sqlite3.connect(memory / "records.sqlite")) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert connection.execute("SELECT count(*) FROM soaks WHERE end_boot IS NULL").fetchone()[0] <= 1
        assert lost(acknowledged, facts_in(connection)) == []
