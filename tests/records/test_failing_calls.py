"""A store whose calls fail: every one of them in turn, and the kernel's own under SQLite."""

import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

import pytest

from appliance.activities.soak_event import SoakEvent
from appliance.records.damage import COMPANIONS
from appliance.records.entries import RouteStep, StepState
from appliance.records.store import Store
from appliance.records.trouble import StoreTrouble, Why
from tests.records.workload import facts_in, lost, made

T = TypeVar("T")


def _sqlite_error(code: int) -> sqlite3.OperationalError:
    error = sqlite3.OperationalError("so it was injected")
    error.sqlite_errorcode = code
    return error


ERRORS: tuple[Exception, ...] = (
    _sqlite_error(sqlite3.SQLITE_IOERR),
    _sqlite_error(sqlite3.SQLITE_FULL),
    _sqlite_error(sqlite3.SQLITE_READONLY),
    _sqlite_error(sqlite3.SQLITE_BUSY),
    sqlite3.ProgrammingError("so it was injected"),
    MemoryError(),
    OSError(28, "so it was injected"),
)


class Fault:
    """Makes the calls from number ``first`` on fail, ``count`` of them; ``after`` the call took effect, or before."""

    def __init__(self, first: int, count: int, after: bool) -> None:
        self.calls, self.first, self.count, self.after = 0, first, count, after

    def call(self, made: Callable[[], T]) -> T:
        """Make a call, unless its turn to fail has come."""
        self.calls += 1
        if not self.first <= self.calls < self.first + self.count:
            return made()
        if self.after:
            made()
        raise ERRORS[self.calls % len(ERRORS)]

    def connect(self, *words: Any, **how: Any) -> sqlite3.Connection:
        """As :func:`sqlite3.connect`, and so are its connections."""
        fault = self

        class Failing(sqlite3.Connection):
            def execute(self, *words: Any) -> sqlite3.Cursor:
                return fault.call(lambda: super(Failing, self).execute(*words))

        return self.call(lambda: sqlite3.connect(*words, factory=Failing, **how))


class Stubborn:
    """Does each thing again until it succeeds, and remembers what did."""

    def __init__(self) -> None:
        self.troubles: list[StoreTrouble] = []

    def do(self, thing: Callable[[], T]) -> T:
        """The outcome of the thing; anything but a :class:`StoreTrouble` comes through and fails the test."""
        while True:
            try:
                return thing()
            except StoreTrouble as trouble:
                self.troubles.append(trouble)
                assert len(self.troubles) < 100


def _use(store: Store, do: Callable[[Callable[[], Any]], Any]) -> set[str]:
    """Every method of the store once or more; what was acknowledged, by words that are found again."""
    do(store.open)
    do(store.unfinished)
    soak = do(lambda: store.begin_soak("acknowledged soak", "", "", 0.0))
    for count in range(3):
        event = SoakEvent("observation", 1.0, 0.0, 0, f"acknowledged {count}")
        do(partial(store.add_event, soak, event))
        do(partial(store.heartbeat, soak, 60.0 * count, 60.0 * count, 0))
    steps = [RouteStep("a", "acknowledged step"), RouteStep("b", "B")]
    visit = do(lambda: store.visits.begin("acknowledged visit", "", 0.0, steps=steps))
    do(lambda: store.visits.mark_step(visit, 1, StepState.LOOKED, 1.0))
    do(lambda: store.visits.describe(visit, path="acknowledged path"))
    finding = do(lambda: store.visits.add_finding(visit, 1.0, "acknowledged finding", "", 1))
    do(lambda: store.visits.undo(finding))
    do(lambda: store.visits.add_reading(visit, 1.0, "acknowledged reading", 1.0, "%"))
    do(lambda: store.visits.end(visit, 1.0, "acknowledged end"))
    gone = do(lambda: store.visits.begin("to be deleted", "", 0.0, steps=steps))
    do(lambda: store.visits.delete(gone, 1.0))
    assert [record.id for record in do(store.visits.last) if record.id == visit] == [visit]
    do(lambda: store.end_soak(soak, 1.0, "acknowledged soak end"))
    do(store.soaks)
    assert do(lambda: store.soak(soak)).how == "acknowledged soak end"
    words = {
        f"acknowledged {name}" for name in ("soak", "0", "1", "2", "visit", "path", "step", "finding", "reading", "end")
    }
    return words | {"acknowledged soak end", "beats 0 60 120"}


def _kept(folder: Path) -> set[str]:
    """The acknowledged words that plain SQLite finds."""
    with closing(sqlite3.connect(folder / "records.sqlite")) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        columns = (
            "name FROM soaks",
            "how FROM soaks",
            "words FROM events",
            "label FROM visits",
            "how FROM visits",
            "path FROM visits",
            "title FROM steps WHERE state = 'looked'",
            "step FROM findings",
            "gauge FROM readings",
        )
        kept = {row[0] for column in columns for row in connection.execute(f"SELECT {column}")}
        beats = connection.execute("SELECT DISTINCT elapsed FROM heartbeats ORDER BY elapsed").fetchall()
        return kept | {"beats " + " ".join(f"{beat[0]:.0f}" for beat in beats)}


def _calls(folder: Path) -> int:
    counting = Fault(0, 0, after=False)
    store = made(folder, connect=counting.connect)
    _use(store, lambda thing: thing())
    store.close()
    return counting.calls


@pytest.mark.parametrize("after", [False, True])
@pytest.mark.parametrize("count", [1, 4])
def test_the_store_outlives_a_failure_of_any_call(memory: Path, count: int, after: bool) -> None:
    """For every n the n-th call fails, for every third the next ones too: troubles come out, no record is lost."""
    total = _calls(memory / "sound")
    assert total > 80
    for first in range(1, total + 1, 1 if count == 1 else 3):
        folder = memory / str(first)
        fault, stubborn = Fault(first, count, after), Stubborn()
        store = made(folder, connect=fault.connect)
        acknowledged = _use(store, stubborn.do)
        store.close()
        assert acknowledged <= _kept(folder), f"call {first}"
        assert not list(folder.glob("*broken*"))


def test_a_disk_that_stays_broken_is_told_each_time(memory: Path) -> None:
    """From some call on everything fails: every call is a trouble, closing is silent, and what was kept is there."""
    for first in range(1, _calls(memory / "sound") + 1, 7):
        folder = memory / str(first)
        store = made(folder, connect=Fault(first, 10**6, after=False).connect)
        with pytest.raises(StoreTrouble):
            _use(store, lambda thing: thing())
        for _ in range(3):
            with pytest.raises(StoreTrouble):
                store.begin_soak("a", "", "", 0.0)
            with pytest.raises(StoreTrouble):
                store.soaks()
        store.close()
        mended = made(folder)
        assert mended.open() == ()
        mended.close()


@pytest.mark.parametrize(
    ("error", "why", "words"),
    [
        (_sqlite_error(sqlite3.SQLITE_FULL), Why.FULL, "full"),
        (_sqlite_error(sqlite3.SQLITE_READONLY_DIRECTORY), Why.READ_ONLY, "read-only"),
        (_sqlite_error(sqlite3.SQLITE_CORRUPT_INDEX), Why.BROKEN, "damaged"),
        (_sqlite_error(sqlite3.SQLITE_BUSY_SNAPSHOT), Why.BUSY, "another program"),
        (_sqlite_error(sqlite3.SQLITE_IOERR_FSYNC), Why.OTHER, "so it was injected"),
        (OSError(30, "Read-only file system"), Why.READ_ONLY, "read-only"),
    ],
)
def test_each_kind_of_trouble_has_its_words(memory: Path, error: Exception, why: Why, words: str) -> None:
    """The message names the file, what is wrong with it and what to do; extended codes count as their primary."""

    def connect(*_: Any, **__: Any) -> sqlite3.Connection:
        raise error

    store = made(memory)
    store.open()
    store.close()
    store = made(memory, connect=connect)
    with pytest.raises(StoreTrouble, match=words) as caught:
        store.open_to_read()
    assert caught.value.why is why
    assert str(memory / "records.sqlite") in str(caught.value)
    assert str(caught.value).count(": ") >= 2


INJECTED = [
    ("pwrite64", "ENOSPC", "full", (1, 7, 30, 61, 200, 300, 500)),
    ("fdatasync", "EIO", "disk I/O error", (1, 3, 10, 40, 80)),
    ("openat", "EROFS", "", (1, 2, 3, 4, 5, 6)),
    ("ftruncate", "EIO", "", (1, 2)),
]


@pytest.mark.skipif(shutil.which("strace") is None, reason="strace is not installed (Debian: strace)")
@pytest.mark.parametrize(
    ("call", "error", "words", "when"),
    [(call, error, words, when) for call, error, words, numbers in INJECTED for when in numbers],
)
def test_an_error_of_the_kernel_is_a_trouble(memory: Path, call: str, error: str, words: str, when: int) -> None:
    """The n-th write, flush, opening or change of size fails in the kernel: a clear line, and no record is lost."""
    acknowledgements = memory / "acknowledgements"
    program = ["-m", "tests.records.workload", str(memory / "records"), str(acknowledgements), "full"]
    ends = ("", "/records.lock", *(f"/records.sqlite{end}" for end in ("", *COMPANIONS)))
    only = [word for end in ends for word in ("-P", str(memory / f"records{end}"))]
    fault = ["-e", f"trace={call}", "-e", f"inject={call}:error={error}:when={when}"]
    inject = ["strace", "-o", str(memory / "trace"), *only, *fault]
    done = subprocess.run([*inject, sys.executable, *program], capture_output=True, text=True, timeout=60, check=False)
    assert "(INJECTED)" in memory.joinpath("trace").read_text()
    assert "Traceback" not in done.stderr
    assert done.returncode in (0, 2)
    if words:
        assert (done.returncode, words in done.stderr) in ((2, True), (0, False)), done.stderr
    mended = made(memory / "records")
    assert mended.open() == ()
    mended.close()
    with closing(sqlite3.connect(memory / "records/records.sqlite")) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        lines = acknowledgements.read_text().splitlines() if acknowledgements.exists() else []
        found = facts_in(connection)
    acknowledged: dict[str, float] = {}
    for line in lines:
        number, key = line.split("\t")
        acknowledged[key] = float(number)
    assert lost(acknowledged, found) == []
