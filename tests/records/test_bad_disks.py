"""Disks that are full or read-only, and files that are damaged: clear words, and a store that goes on."""

import os
import shutil
import sqlite3
import subprocess
from collections import deque
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from random import Random

import pytest

from appliance.activities.soak_event import SoakEvent
from appliance.records.damage import MOST_PUT_ASIDE
from appliance.records.store import Store
from appliance.records.trouble import StoreTrouble, Why
from tests.records.workload import Fact, facts_of, lost, made, soak, visit


@contextmanager
def _mounted(folder: Path, options: str) -> Iterator[Path]:
    """A small file system in memory. Skips where it may not be mounted."""
    folder.mkdir()
    if os.geteuid() != 0:
        pytest.skip("mounting a small disk needs root")
    done = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", options, "none", str(folder)], capture_output=True, text=True, check=False
    )
    if done.returncode:
        pytest.skip(f"a small disk cannot be mounted here: {done.stderr.strip()}")
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", str(folder)], check=True)


def _noting(facts: Iterator[Fact], acknowledged: dict[str, float]) -> Iterator[Fact]:
    """Note each fact as it comes: the last one does not, for the disk is full."""
    for key, number in facts:
        acknowledged[key] = number
        yield key, number


def test_a_full_disk_is_told_and_comes_back(tmp_path: Path) -> None:
    """Writes fail with clear words until there is room again; nothing acknowledged is lost."""
    with _mounted(tmp_path / "disk", "size=700k") as disk:
        store, acknowledged = made(disk), dict[str, float]()
        store.open()
        with pytest.raises(StoreTrouble, match="full") as caught:
            deque(_noting(soak(store, 10_000), acknowledged), maxlen=0)
        assert caught.value.why is Why.FULL
        assert len(acknowledged) > 20
        with pytest.raises(StoreTrouble, match="full"):
            store.begin_soak("a", "", "x" * 100_000, 0.0)
        assert lost(acknowledged, facts_of(store)) == []
        subprocess.run(["mount", "-o", "remount,size=2m", str(disk)], check=True)
        assert store.begin_soak("room again", "", "", 0.0) == 2
        store.close()
        again = made(disk, "boot-b")
        assert again.open() == ()
        assert lost(acknowledged | {"soak 2 room again": 1}, facts_of(again)) == []
        again.close()


def test_a_disk_full_from_the_start_is_told(tmp_path: Path) -> None:
    """A store that cannot even be made says so, and can be once there is room."""
    with _mounted(tmp_path / "disk", "size=64k") as disk:
        filler = disk / "filler"
        with filler.open("wb", buffering=0) as file:
            assert file.write(bytes(1_000_000)) == 65536  # as much as there is room for
        store = made(disk)
        with pytest.raises(StoreTrouble) as caught:
            store.open()
        assert caught.value.why is Why.FULL
        filler.unlink()
        subprocess.run(["mount", "-o", "remount,size=2m", str(disk)], check=True)
        assert store.open() == ()
        assert store.begin_soak("a", "", "", 0.0) == 1
        store.close()


def test_a_read_only_disk_is_told_and_still_read(tmp_path: Path) -> None:
    """A card gone read-only in mid-soak or before the start: clear words, and what was kept can be read."""
    with _mounted(tmp_path / "disk", "size=2m") as disk:
        store = made(disk)
        store.open()
        store.begin_soak("kept", "", "", 0.0)
        store.close()
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
        with pytest.raises(StoreTrouble, match="read-only") as caught:
            store.open()
        assert caught.value.why is Why.READ_ONLY
        store.open_to_read()
        assert [record.name for record in store.soaks()] == ["kept"]
        store.close()
        with pytest.raises(StoreTrouble, match="read-only"):
            made(disk / "deeper").open()


def test_a_folder_that_is_a_file_is_told(tmp_path: Path) -> None:
    """A wrong path in the settings gives a line that names it."""
    tmp_path.joinpath("taken").write_text("a file")
    for folder in (tmp_path / "taken", tmp_path / "taken" / "deeper"):
        with pytest.raises(StoreTrouble, match="taken"):
            made(folder).open()
    tmp_path.joinpath("records.sqlite").mkdir()
    with pytest.raises(StoreTrouble, match=r"records\.sqlite"):
        made(tmp_path).open()


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The files of a store that was cut off in use: its log is not folded in."""
    folder, copies = tmp_path_factory.mktemp("sound"), {}
    store = made(folder)
    store.open()
    for _ in (*soak(store, 12), *visit(store, 5)):
        pass
    for name in ("records.sqlite", "records.sqlite-wal"):
        copies[name] = folder.joinpath(name).read_bytes()
    store.close()
    assert all(len(content) > 4096 for content in copies.values())
    return copies


def _damaged(content: bytes, chance: Random) -> bytes:
    """Cut short, or some of it filled with rubbish."""
    place = chance.randrange(len(content))
    size = chance.choice((1, 16, 512, 4096, len(content)))
    match chance.randrange(4):
        case 0:
            return content[:place]
        case 1:
            return content[: place - place % 512]
        case 2:
            return content[:place] + chance.randbytes(size) + content[place + size :]
        case _:
            return content[:place] + bytes(size) + content[place + size :]


@pytest.mark.parametrize("victim", ["records.sqlite", "records.sqlite-wal", "both"])
def test_damaged_files_are_put_aside_or_read(memory: Path, sound: dict[str, bytes], victim: str) -> None:
    """However a file is cut short or spoilt, the store opens, goes on, and leaves what it put aside untouched."""
    put_aside, stuck, chance = 0, 0, Random(victim)  # noqa: S311 # a seeded choice, no secret
    for number in range(150):
        folder = memory / str(number)
        folder.mkdir()
        files = {
            name: _damaged(content, chance) if victim in (name, "both") else content for name, content in sound.items()
        }
        for name, content in files.items():
            folder.joinpath(name).write_bytes(content)
        store = made(folder, "boot-b")
        said = store.open()
        if said:
            assert "damaged" in said[0]
            assert "records.sqlite.broken-1" in said[0]
            assert store.soaks() == []
            put_aside += 1
        sound_again = _goes_on(store)
        assert sound_again or not said
        stuck += not sound_again
        store.close()
        shutil.rmtree(folder)
    print(f"{victim}: {put_aside} of 150 put aside, {stuck} with troubles until the next start")
    assert stuck < 10
    assert (put_aside > 20) == (victim != "records.sqlite-wal")


def _goes_on(store: Store) -> bool:
    """Read whatever there is, and write. Damage that the check cannot see may be a trouble, and nothing worse."""
    try:
        facts_of(store)
        number = store.begin_soak("after", "", "", 0.0)
        store.add_event(number, SoakEvent("started", 0.0, 0.0, 0, "words"))
        record = store.soak(number)
    except StoreTrouble:
        return False
    return record is not None and [event.words for event in record.events] == ["words"]


def test_what_is_put_aside_is_whole(tmp_path: Path, sound: dict[str, bytes]) -> None:
    """The damaged file and its log are renamed together, byte for byte, so that somebody can still look into them."""
    broken = {name: b"rubbish" * 700 + content[4900:] for name, content in sound.items()}
    for name, content in broken.items():
        tmp_path.joinpath(name).write_bytes(content)
    store = made(tmp_path)
    (said,) = store.open()
    assert said.startswith("the records were damaged (")
    store.close()
    assert tmp_path.joinpath("records.sqlite.broken-1").read_bytes() == broken["records.sqlite"]
    assert tmp_path.joinpath("records.sqlite.broken-1-wal").read_bytes() == broken["records.sqlite-wal"]


def test_a_file_emptied_beside_its_log_is_put_aside(tmp_path: Path, sound: dict[str, bytes]) -> None:
    """SQLite by itself would take the pair for a new file and throw the log away without a word."""
    tmp_path.joinpath("records.sqlite").write_bytes(b"")
    tmp_path.joinpath("records.sqlite-wal").write_bytes(sound["records.sqlite-wal"])
    store = made(tmp_path)
    assert "broken-1" in store.open()[0]
    store.close()
    assert tmp_path.joinpath("records.sqlite.broken-1-wal").read_bytes() == sound["records.sqlite-wal"]


def test_somebody_elses_file_is_put_aside(tmp_path: Path) -> None:
    """A sound SQLite file that is not ours is not written into."""
    with closing(sqlite3.connect(tmp_path / "records.sqlite")) as connection:
        connection.execute("CREATE TABLE theirs (a)")
    store = made(tmp_path)
    assert "not a file of ours" in store.open()[0]
    store.close()
    with closing(sqlite3.connect(tmp_path / "records.sqlite.broken-1")) as connection:
        assert connection.execute("SELECT name FROM sqlite_schema").fetchall() == [("theirs",)]


def test_a_card_that_spoils_every_file_is_not_filled(tmp_path: Path) -> None:
    """After so many damaged ones the store stops putting aside and says that it cannot be used."""
    store = made(tmp_path)
    for number in range(1, MOST_PUT_ASIDE + 1):
        tmp_path.joinpath("records.sqlite").write_bytes(b"rubbish" * 1000)
        assert f"broken-{number}," in store.open()[0]
        store.close()
    tmp_path.joinpath("records.sqlite").write_bytes(b"rubbish" * 1000)
    with pytest.raises(StoreTrouble, match="damaged ones lie beside it already"):
        store.open()
    assert len(list(tmp_path.glob("*broken-?"))) == MOST_PUT_ASIDE


def test_damage_met_in_use_is_a_trouble(memory: Path) -> None:
    """Pages spoilt under an open store: reading and writing are troubles or succeed, and the next start mends it."""
    store = made(memory)
    store.open()
    for _ in soak(store, 30):
        pass
    store.close()
    store.open()
    with memory.joinpath("records.sqlite").open("r+b") as file:
        file.write(b"\xff" * memory.joinpath("records.sqlite").stat().st_size)
    store._database.rows("PRAGMA shrink_memory")  # what the check at the start had read is forgotten
    with pytest.raises(StoreTrouble, match="damaged") as caught:
        store.soak(1)
    assert caught.value.why is Why.BROKEN
    with pytest.raises(StoreTrouble):
        store.add_event(1, SoakEvent("observation", 0.0, 0.0, 0, "words"))
    store.close()
    assert "broken-1" in store.open()[0]
    assert store.begin_soak("afresh", "", "", 0.0) == 1
    store.close()
