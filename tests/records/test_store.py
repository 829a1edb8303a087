"""Tests of the store: what goes in comes out, and what the screen is told."""

import math
from collections.abc import Iterator
from pathlib import Path

import pytest

from appliance.activities.soak_event import SoakEvent
from appliance.records.entries import Moment
from appliance.records.store import MOST_EVENTS, MOST_LETTERS, Store
from appliance.records.trouble import StoreTrouble, Why


def made(folder: Path, boot: str = "boot-a", wall: tuple[float, bool] = (1e9, True), mountinfo: str = "") -> Store:
    """A store not yet open, with a still clock and a disk of no particular kind."""
    return Store(folder, boot_id=boot, wall=lambda: wall, mountinfo=lambda: mountinfo)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """An open store in an empty folder."""
    store = made(tmp_path)
    assert store.open() == ()
    yield store
    store.close()


def test_a_soak_comes_out_as_it_went_in(store: Store) -> None:
    """Everything kept of a soak is told again, each with its moment."""
    soak = store.begin_soak("short", "Half an hour", '{"a": 1}', 5.0)
    store.add_event(soak, SoakEvent("started", 5.5, 0.0, 0, "by a person"))
    store.heartbeat(soak, 65.0, 60.0, 1, 48.5, False)
    store.add_event(soak, SoakEvent("look", 125.0, 120.0, 1, "margins 7 7 6 7"))
    store.end_soak(soak, 200.0, "completed")
    record = store.soak(soak)
    assert record is not None
    assert (record.name, record.title, record.plan, record.how) == ("short", "Half an hour", '{"a": 1}', "completed")
    assert record.begun == Moment("boot-a", 5.0, 1e9, True)
    assert record.ended == Moment("boot-a", 200.0, 1e9, True)
    assert [(e.number, e.kind, e.elapsed, e.phase, e.words) for e in record.events] == [
        (1, "started", 0.0, 0, "by a person"),
        (2, "look", 120.0, 1, "margins 7 7 6 7"),
    ]
    assert record.looks == record.events[1:]
    assert [(b.moment.at, b.elapsed, b.phase, b.celsius, b.undervoltage) for b in record.beats] == [
        (65.0, 60.0, 1, 48.5, False)
    ]
    assert record.alive == record.beats[-1]


def test_a_heartbeat_among_the_events_is_kept_as_one(store: Store) -> None:
    """Whoever hands over everything that a soak tells does not fill the log with signs of life."""
    soak = store.begin_soak("a", "", "", 1.0)
    for second in range(30):
        store.add_event(soak, SoakEvent("heartbeat", 1.0 + second, second, 0, ""))
    record = store.soak(soak)
    assert record is not None
    assert record.events == ()
    assert [beat.elapsed for beat in record.beats] == [29.0]


def test_a_soak_is_over_with_the_event_that_tells_it(store: Store) -> None:
    """A power cut between that event and the end's own record must not offer again what a person has ended."""
    soak = store.begin_soak("a", "", "", 1.0)
    store.add_event(soak, SoakEvent("ended", 9.0, 8.0, 0, "by a key"))
    assert store.unfinished() is None
    store.end_soak(soak, 9.0, "by a key")
    record = store.soak(soak)
    assert record is not None
    assert record.ended is not None
    assert (record.ended.at, record.how, [event.words for event in record.events]) == (9.0, "by a key", ["by a key"])


def test_a_visit_comes_out_as_it_went_in(store: Store) -> None:
    """Findings and readings belong to their visit; one taken back stays, marked."""
    visit = store.visits.begin("the walnut one", "quick", 1.0)
    kept = store.visits.add_finding(visit, 2.0, "margins", "overscan", 2, 5)
    undone = store.visits.add_finding(visit, 3.0, "purity", "stain", 1)
    store.visits.undo(undone)
    store.visits.add_reading(visit, 4.0, "left margin", 6.5, "%", 0.5)
    record = store.visits.unfinished()
    assert record is not None
    assert [(f.id, f.zone, f.undone) for f in record.findings] == [(kept, 5, False), (undone, None, True)]
    assert [(r.value, r.unit, r.uncertainty) for r in record.readings] == [(6.5, "%", 0.5)]
    store.visits.end(visit, 5.0, "completed")
    assert store.visits.unfinished() is None
    ended = store.visits.one(visit)
    assert ended is not None
    assert ended.how == "completed"
    assert store.visits.one(visit + 1) is None


def test_the_soaks_are_listed_latest_first(store: Store) -> None:
    """A list tells when each was last alive, without the weight of its log."""
    first = store.begin_soak("a", "", "", 1.0)
    second = store.begin_soak("b", "", "", 2.0)
    for minute in range(3):
        store.heartbeat(first, 60.0 * minute, 60.0 * minute, 0)
    listed = store.soaks()
    assert [record.id for record in listed] == [second, first]
    assert listed[0].alive is None
    assert listed[1].alive is not None
    assert listed[1].alive.elapsed == 120.0
    assert (listed[1].events, listed[1].beats) == ((), ())
    assert store.soak(99) is None


def test_a_soak_cut_by_the_power_is_found_at_the_next_boot(tmp_path: Path) -> None:
    """What was not ended is offered with the moment it was last alive, in the boot it was alive in."""
    before = made(tmp_path, "boot-a")
    before.open()
    soak = before.begin_soak("long", "", "", 100.0)
    before.heartbeat(soak, 190.0, 90.0, 1)
    before.close()
    after = made(tmp_path, "boot-b", (0.0, False))
    after.open()
    record = after.unfinished()
    assert record is not None
    assert record.alive is not None
    assert record.alive.moment == Moment("boot-a", 190.0, 1e9, True)
    after.heartbeat(soak, 7.0, 95.0, 1)  # the same minute of the soak, but another boot: both stay
    again = after.unfinished()
    assert again is not None
    assert [beat.moment.boot for beat in again.beats] == ["boot-a", "boot-b"]
    assert again.beats[-1].moment == Moment("boot-b", 7.0, 0.0, False)
    after.end_soak(soak, 9.0, "ended")
    assert after.unfinished() is None
    after.close()


def test_only_the_latest_soak_is_offered_again(store: Store) -> None:
    """An older one left unfinished is not dug out once a later one has ended."""
    store.begin_soak("a", "", "", 1.0)
    store.end_soak(store.begin_soak("b", "", "", 2.0), 3.0, "completed")
    assert store.unfinished() is None


def test_a_reader_sees_what_the_writer_keeps(store: Store) -> None:
    """A command reads beside the running box, and cannot write."""
    soak = store.begin_soak("a", "", "", 1.0)
    reader = made(store.folder)
    reader.open_to_read()
    assert [record.id for record in reader.soaks()] == [soak]
    with pytest.raises(StoreTrouble, match="read-only") as caught:
        reader.begin_soak("b", "", "", 2.0)
    assert caught.value.why is Why.READ_ONLY
    reader.close()


def test_reading_where_there_are_no_records_makes_none(tmp_path: Path) -> None:
    """A list of an unused box is empty, and the folder stays as it was."""
    reader = made(tmp_path / "none")
    reader.open_to_read()
    assert reader.soaks() == []
    assert reader.visits.unfinished() is None
    reader.close()
    assert not (tmp_path / "none").exists()


def test_a_second_writer_is_refused(store: Store) -> None:
    """Exactly one read-write connection: the other program is told so, and the first goes on."""
    other = made(store.folder)
    with pytest.raises(StoreTrouble, match="another program") as caught:
        other.open()
    assert caught.value.why is Why.BUSY
    assert store.begin_soak("a", "", "", 1.0) == 1


def test_a_closed_store_says_so(tmp_path: Path) -> None:
    """Before it is opened and after it is closed, a call is a clear trouble."""
    store = made(tmp_path)
    with pytest.raises(StoreTrouble, match="not open"):
        store.soaks()
    store.open()
    store.close()
    store.close()
    with pytest.raises(StoreTrouble, match="not open") as caught:
        store.begin_soak("a", "", "", 1.0)
    assert caught.value.why is Why.CLOSED


def test_the_screen_is_told_that_nothing_will_be_kept(tmp_path: Path) -> None:
    """In memory the store works, and says at the start what that means."""
    store = made(tmp_path, mountinfo="1 0 0:1 / / rw - ext4 /dev/a rw\n2 1 0:2 / /tmp rw - tmpfs none rw\n")
    said = store.open()
    assert len(said) == (1 if tmp_path.resolve().is_relative_to("/tmp") else 0)  # noqa: S108 # where pytest works
    assert all("nothing will be kept" in words for words in said)
    memory = made(tmp_path / "a", mountinfo="1 0 0:1 / / rw - overlay overlay rw\n")
    assert [words.split(":")[0] for words in memory.open()] == ["nothing will be kept"]
    assert memory.begin_soak("a", "", "", 1.0) == 1
    memory.close()
    store.close()


def test_words_that_no_file_can_hold_are_made_to_fit(store: Store) -> None:
    """Lone surrogates, endless words and quotes are kept as far as they can be, and break nothing."""
    soak = store.begin_soak("a\ud800", "'; DROP TABLE soaks; --", "\0", 1.0)
    store.add_event(soak, SoakEvent("observation", 1.0, 0.0, 0, "x" * 9000))
    record = store.soak(soak)
    assert record is not None
    assert (record.name, record.title, record.plan) == ("a?", "'; DROP TABLE soaks; --", "\0")
    assert record.events[0].words == "x" * (MOST_LETTERS - 1) + "…"


def test_values_that_make_no_record_are_troubles(store: Store) -> None:
    """A soak that is not there and a time that is none are refused, and nothing of them stays."""
    soak = store.begin_soak("a", "", "", 1.0)
    for event, number in ((SoakEvent("a", 1.0, 0.0, 0, ""), soak + 7), (SoakEvent("a", 1.0, math.nan, 0, ""), soak)):
        with pytest.raises(StoreTrouble):
            store.add_event(number, event)
    record = store.soak(soak)
    assert record is not None
    assert record.events == ()
    store.add_event(soak, SoakEvent("a", 1.0, 0.0, 0, ""))


def test_the_log_of_a_long_soak_is_bounded(memory: Path) -> None:
    """Eight hours beating every ten seconds, with an event a minute, grow by a few hundred bytes a minute at most."""
    store = made(memory)
    store.open()
    soak = store.begin_soak("a", "", "", 0.0)
    before = _size(store)
    for second in range(0, 8 * 3600, 10):
        store.heartbeat(soak, second, second, second // 600, 51.25, False)
        if second % 60 == 0:
            store.add_event(soak, SoakEvent("phase", second, second, second // 600, "a pattern of middling level"))
    for _ in range(100):  # paused: the soak's time stands, however long the person stays away
        store.heartbeat(soak, 30000.0, 28799.0, 47)
    record = store.soak(soak)
    assert record is not None
    assert len(record.beats) == 480
    grown = (_size(store) - before) / 480
    assert 50 < grown < 300
    assert store.folder.joinpath("records.sqlite-wal").stat().st_size < 1_000_000
    store.close()


def _size(store: Store) -> int:
    """Bytes of the file once its log is folded in."""
    pages = store._database.rows("PRAGMA page_count")[0][0]
    return int(pages) * 4096


def test_events_without_end_are_counted_and_not_kept(store: Store) -> None:
    """A chattering key cannot fill the card, and the record says how much it leaves out."""
    soak = store.begin_soak("a", "", "", 0.0)
    with store._database.transaction() as connection:
        connection.execute(
            "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < ?)"
            " INSERT INTO events SELECT ?, i, boot, at, wall, synced, 'paused', 0, 0, '' FROM n, soaks",
            (MOST_EVENTS - 1, soak),
        )
    for words in ("kept", "counted", "counted, too"):
        store.add_event(soak, SoakEvent("observation", 1.0, 0.0, 0, words))
    record = store.soak(soak)
    assert record is not None
    assert (len(record.events), record.events[-1].words, record.left_out) == (MOST_EVENTS, "kept", 2)
