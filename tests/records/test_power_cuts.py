"""Thousands of power cuts, replayed over the recorded writes of two soaks and a visit.

Killing a program, or the emulator a machine runs in, leaves what the kernel still holds; only this shows a missing
flush. FIELDMOUSE_POWER_CUTS sets how many states are built for each operation (3 in the ordinary suite).
"""

import os
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from hashlib import blake2b
from pathlib import Path
from random import Random
from typing import NamedTuple

import pytest

from appliance.records.trouble import StoreTrouble
from tests.records.disk import Disk, File, State, apply
from tests.records.recording import Operation, operations, record
from tests.records.workload import Facts, facts_in, facts_of, lost, made

STATES_EACH = int(os.environ.get("FIELDMOUSE_POWER_CUTS", "3"))

needs_strace = pytest.mark.skipif(shutil.which("strace") is None, reason="strace is not installed (Debian: strace)")


class Tally(NamedTuple):
    """How many states there were, how many of them differed and were opened, and what was wrong with them."""

    states: int
    opened: int
    corrupt: list[str]
    lost: list[str]

    @property
    def words(self) -> str:
        return f"{self.states} cuts, {self.opened} states opened: {len(self.corrupt)} corrupt, {len(self.lost)} lost"


NOTHING: State = {}
Check = Callable[[Path], Facts]
"""Opens a folder and tells what is in it. Raises :class:`Corrupt`."""


class Corrupt(Exception):
    """A file that does not open, or not whole."""


def by_sqlite(folder: Path) -> Facts:
    """What SQLite by itself makes of the file."""
    try:
        with closing(sqlite3.connect(folder / "records.sqlite", isolation_level=None)) as connection:
            connection.execute("PRAGMA synchronous = OFF")  # this reader's own writes need not last
            (found,) = connection.execute("PRAGMA integrity_check").fetchone()
            if found != "ok":
                raise Corrupt(found)
            return facts_in(connection)
    except sqlite3.DatabaseError as error:
        raise Corrupt(str(error)) from error


def by_store(folder: Path) -> Facts:
    """What the store makes of it: it opens without a word, and goes on."""
    store = made(folder, "boot-c")
    try:
        if said := store.open():
            raise Corrupt(said[0])
        store.begin_soak("after", "", "", 0.0)
        return facts_of(store)
    except StoreTrouble as error:
        raise Corrupt(str(error)) from error
    finally:
        store.close()


def replay(
    recorded: list[Operation],
    room: Path,
    checks: dict[str, Check],
    each: int,
    blast: bool | None,
    start: State = NOTHING,
) -> Tally:
    """Cut the power after each operation, ``each`` times; ``blast`` None: every other time. Seeded by the place.

    Two cuts that leave the very same bytes are opened once, and judged each by what was acknowledged before it.
    """
    disk, acknowledged = Disk(start), dict[str, float]()
    corrupt, gone, known = list[str](), list[str](), dict[bytes, dict[str, Facts | str]]()
    for place, operation in enumerate(recorded):
        if operation.kind == "acknowledge":
            number, key = operation.data.decode().rstrip("\n").split("\t")
            acknowledged[key] = max(float(number), acknowledged.get(key, 0))
        disk.do(operation)
        for again in range(each):
            chance = Random(f"{place} {again}")  # noqa: S311 # a seeded choice, no secret
            state = disk.cut(chance, (place + again) % 2 == 0 if blast is None else blast)
            found = known.setdefault(_mark(state), {})
            for name, check in checks.items():
                found[name] = found[name] if name in found else _found(state, room, check)
                _judge(found[name], acknowledged, f"{name}, cut {again} after operation {place}", corrupt, gone)
    return Tally(len(recorded) * each, len(known), corrupt, gone)


def _mark(state: State) -> bytes:
    mark = blake2b()
    for name in sorted(state):
        mark.update(f"{name} {len(state[name])} ".encode() + state[name])
    return mark.digest()


def _found(state: State, room: Path, check: Check) -> Facts | str:
    for old in room.iterdir():
        old.unlink()
    for name, content in state.items():
        room.joinpath(name).write_bytes(content)
    try:
        return check(room)
    except Corrupt as corrupt:
        return str(corrupt)


def _judge(found: Facts | str, acknowledged: Facts, where: str, corrupt: list[str], gone: list[str]) -> None:
    if isinstance(found, str):
        corrupt.append(f"{where}: {found}")
    else:
        gone.extend(f"{where}: {key}" for key in lost(acknowledged, found)[:1])


def recorded_in(folder: Path, mode: str = "full") -> list[Operation]:
    """The operations of the workload in one of its modes."""
    records, acknowledgements = folder / "records", folder / "acknowledgements"
    program = ("-m", "tests.records.workload", str(records), str(acknowledgements), mode)
    return record(program, records, acknowledgements, folder / "trace")


@pytest.fixture
def room(memory: Path) -> Path:
    """An empty folder in memory to build states in."""
    room = memory / "room"
    room.mkdir()
    return room


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the workload was recorded in the mode that the store has."""
    return tmp_path_factory.mktemp("sound")


@pytest.fixture(scope="module")
def recorded(sound: Path) -> list[Operation]:
    """The operations of the workload in that mode."""
    return recorded_in(sound)


BOTH: dict[str, Check] = {"SQLite": by_sqlite, "the store": by_store}


@needs_strace
def test_no_power_cut_takes_an_acknowledged_record(recorded: list[Operation], room: Path) -> None:
    """After any cut the file is whole, and everything is there whose commit had returned."""
    kinds = {operation.kind for operation in recorded}
    assert kinds >= {"create", "write", "resize", "sync", "sync folder", "unlink", "acknowledge"}
    assert sum(operation.kind == "acknowledge" for operation in recorded) > 90
    begun = Operation("write", "records.sqlite-wal", 0)
    logs = [operation for operation in recorded if operation._replace(data=b"") == begun]
    assert len(logs) >= 3  # made, written over from its start once it was folded in, and made again
    tally = replay(recorded, room, BOTH, STATES_EACH, None)
    print(tally.words, "by SQLite and by the store")
    assert tally.states > 2000
    assert tally.opened > 1000
    assert tally.corrupt == []
    assert tally.lost == []


@needs_strace
@pytest.mark.parametrize(("mode", "blast"), [("normal", False), ("off", False), ("trusting", True)])
def test_the_replay_can_find_a_loss(tmp_path: Path, room: Path, mode: str, blast: bool) -> None:
    """With fewer flushes, or with trust in torn writes, the same replay finds acknowledged records lost."""
    tally = replay(recorded_in(tmp_path, mode), room, {"SQLite": by_sqlite}, 1, blast)
    print(mode, tally.words)
    assert tally.lost
    assert bool(tally.corrupt) == (mode == "off")


@needs_strace
def test_no_power_cut_spoils_the_putting_aside(tmp_path: Path, room: Path) -> None:
    """A damaged file is put aside and begun afresh: a cut in the midst leaves it under one name or the other."""
    rubbish: State = {"records.sqlite": b"rubbish" * 2000, "records.sqlite-wal": b"more" * 2000}
    tmp_path.joinpath("records").mkdir()
    for name, content in rubbish.items():
        tmp_path.joinpath("records", name).write_bytes(content)

    def check(folder: Path) -> Facts:
        store = made(folder, "boot-c")
        store.open()
        left = sorted(path.read_bytes() for path in folder.glob("*broken-*") if not path.name.endswith("-shm"))
        facts = facts_of(store)
        store.close()
        if left != sorted(rubbish.values()):
            raise Corrupt("what was put aside is not what there was")
        return facts

    recorded = recorded_in(tmp_path)[:150]
    assert [operation.kind for operation in recorded].count("rename") == 2
    assert [operation.kind for operation in recorded].count("acknowledge") > 5
    tally = replay(recorded, room, {"the store": check}, 4, None, rubbish)
    print("put aside:", tally.words)
    assert (tally.corrupt, tally.lost) == ([], [])


@needs_strace
def test_the_recording_is_the_whole_of_it(recorded: list[Operation], sound: Path) -> None:
    """Every operation played without a cut gives the very files that the program left."""
    disk = Disk()
    for operation in recorded:
        disk.do(operation)
    for file in disk.names.values():
        file.sync()
    names = {path.name for path in sound.joinpath("records").iterdir()} - {"records.sqlite-shm"}
    assert names == set(disk.names)
    for name in names:
        assert bytes(disk.names[name].durable) == sound.joinpath("records", name).read_bytes()


def test_a_cut_keeps_what_was_synced_and_tears_the_rest() -> None:
    """The disk by itself: synced bytes stay, unsynced sectors come and go, a blast reaches into synced neighbours."""
    disk = Disk()
    for operation in (
        Operation("create", "a"),
        Operation("write", "a", 0, b"s" * 1024),
        Operation("sync", "a"),
        Operation("sync folder"),
        Operation("write", "a", 1024, b"t" * 1024),
    ):
        disk.do(operation)
    left = {disk.cut(Random(seed), blast=False)["a"] for seed in range(200)}  # noqa: S311 # a seeded choice
    new, old = b"t" * 512, bytes(512)
    assert left == {b"s" * 1024 + rest for rest in (b"", new, new + new, old + new)}
    blasted = {disk.cut(Random(seed), blast=True)["a"][:1024] for seed in range(200)}  # noqa: S311 # as above
    assert b"s" * 1024 in blasted
    assert len(blasted) > 3


def test_names_that_were_not_synced_may_be_gone() -> None:
    """A file whose name was never synced with its folder is there after some cuts only; so is one taken away."""
    disk = Disk()
    for operation in (Operation("create", "a"), Operation("sync folder"), Operation("unlink", "a")):
        disk.do(operation)
    disk.do(Operation("create", "b"))
    left = {tuple(disk.cut(Random(seed), blast=False)) for seed in range(50)}  # noqa: S311 # a seeded choice
    assert left == {("a",), (), ("b",)}


def test_a_file_grows_and_shrinks() -> None:
    """A write behind the end leaves a hole of noughts; a change of size cuts or fills."""
    content = File().durable
    apply(content, Operation("write", "a", 4, b"x"))
    assert content == b"\0\0\0\0x"
    apply(content, Operation("resize", "a", 2))
    apply(content, Operation("resize", "a", 3))
    assert content == b"\0\0\0"


def test_a_call_that_is_not_understood_is_an_error() -> None:
    """A new kind of write in a trace stops the replay instead of passing unseen."""
    handle = "3<" + "".join(f"\\x{ord(letter):02x}" for letter in "/a/f") + ">"
    assert list(operations([f"fsync({handle}) = 0"], "/a", "/b")) == [Operation("sync", "f")]
    with pytest.raises(ValueError, match="pwritev"):
        list(operations([f"pwritev({handle}, [], 1, 0) = 8"], "/a", "/b"))
