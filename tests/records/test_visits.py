"""Tests of visits: what is kept of them, how much room it takes, and how one is deleted."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from appliance.records.entries import MOST_FINDINGS, RouteStep, StepState
from appliance.records.store import Store
from appliance.records.trouble import StoreTrouble, VisitDeleted, Why
from appliance.records.visits import LONGEST, MOST_STEPS
from tests.records.workload import made

STEPS = [RouteStep("cold", "Grey from cold", "grey", "50"), RouteStep("shape", "Shape", "crosshatch", "white")]


@pytest.fixture
def store(memory: Path) -> Iterator[Store]:
    """An open store in an empty folder."""
    store = made(memory)
    assert store.open() == ()
    yield store
    store.close()


def test_a_visit_knows_its_whole_route(store: Store) -> None:
    """Steps come out in order, each with what became of it last; those never reached stay ahead."""
    more = RouteStep("end", "Off")
    visit = store.visits.begin(
        "walnut", "quick", 1.0, title="Quick", path="composite", warmth="cold", steps=[*STEPS, more]
    )
    store.visits.mark_step(visit, 1, StepState.REACHED, 2.0)
    store.visits.mark_step(visit, 1, StepState.LOOKED, 3.0)
    store.visits.mark_step(visit, 2, StepState.SKIPPED, 4.0)
    record = store.visits.one(visit)
    assert record is not None
    assert (record.title, record.path, record.warmth) == ("Quick", "composite", "cold")
    assert [(step.number, step.step, step.state) for step in record.steps] == [
        (1, STEPS[0], StepState.LOOKED),
        (2, STEPS[1], StepState.SKIPPED),
        (3, more, StepState.AHEAD),
    ]
    assert [step.moment.at for step in record.steps] == [3.0, 4.0, 1.0]
    with pytest.raises(StoreTrouble, match="no step 4"):
        store.visits.mark_step(visit, 4, StepState.LOOKED, 5.0)


def test_what_becomes_known_later_is_kept(store: Store) -> None:
    """Name, signal path and warmth can be put right one by one; a finding keeps the words it was noted in."""
    visit = store.visits.begin("", "quick", 1.0, warmth="cold")
    store.visits.describe(visit, label="the walnut one", path="modulator")
    store.visits.add_finding(visit, 2.0, "shape", "tilt", 2, 5, "Picture turned")
    record = store.visits.one(visit)
    assert record is not None
    assert (record.label, record.path, record.warmth) == ("the walnut one", "modulator", "cold")
    assert [finding.title for finding in record.noted] == ["Picture turned"]
    with pytest.raises(StoreTrouble, match="none of that number"):
        store.visits.describe(visit + 1, label="x")


def test_visits_are_listed_latest_first(store: Store) -> None:
    """Each with its own findings, and as many as are asked for."""
    numbers = [store.visits.begin(f"set {count}", "quick", count, steps=STEPS) for count in range(4)]
    store.visits.add_finding(numbers[1], 5.0, "shape", "tilt", 1)
    store.visits.add_finding(numbers[3], 5.0, "shape", "bow", 1)
    assert [record.id for record in store.visits.last()] == numbers[::-1]
    latest = store.visits.last(3)
    assert [record.label for record in latest] == ["set 3", "set 2", "set 1"]
    assert [[finding.kind for finding in record.findings] for record in latest] == [["bow"], [], ["tilt"]]
    assert store.visits.last(0) == []


def test_a_deleted_visit_leaves_nothing_but_its_number(store: Store) -> None:
    """Nothing that was noted is in the file, and no later visit gets the number that stands on a photograph."""
    kept = store.visits.begin("kept", "quick", 1.0)
    gone = store.visits.begin("secret", "quick", 2.0, steps=STEPS)
    store.visits.add_finding(gone, 3.0, "shape", "tilt", 1)
    store.visits.add_reading(gone, 3.0, "left margin", 1.0, "%")
    store.visits.delete(gone, 4.0)
    store.visits.delete(gone, 4.0)
    assert store.visits.one(gone) is None
    assert [record.id for record in store.visits.last()] == [kept]
    assert store.visits.begin("next", "quick", 5.0) == gone + 1
    for table in ("findings", "readings", "steps"):
        assert store._database.rows(f"SELECT count(*) FROM {table} WHERE visit = {gone}") == [(0,)]  # noqa: S608 # ours
    assert store._database.rows("SELECT label FROM visits WHERE id = ?", gone) == [("",)]


def test_deleting_the_unfinished_visit_ends_it(store: Store) -> None:
    """A visit that is gone is not offered again, nor is one that ended before it."""
    store.visits.end(store.visits.begin("a", "quick", 1.0), 2.0, "completed")
    store.visits.delete(store.visits.begin("b", "quick", 3.0), 4.0)
    assert store.visits.unfinished() is None


def test_a_visit_left_for_another_time_is_offered_after_others(store: Store) -> None:
    """The latest that has not ended, though one was made and ended since, and one deleted; with all that is its own."""
    first = store.visits.begin("first", "quick", 1.0, steps=STEPS)
    left = store.visits.begin("left", "quick", 2.0, steps=STEPS)
    store.visits.add_finding(left, 2.5, "shape", "tilt", 1)
    store.visits.end(store.visits.begin("made since", "quick", 3.0), 4.0, "completed")
    store.visits.delete(store.visits.begin("deleted", "quick", 5.0), 6.0)
    record = store.visits.unfinished()
    assert record is not None
    assert (record.id, len(record.steps), len(record.noted)) == (left, 2, 1)
    store.visits.end(left, 7.0, "completed")
    assert [store.visits.unfinished()] == [store.visits.one(first)]


def test_a_visit_has_bounds(store: Store) -> None:
    """Neither findings without end nor a route without end fill the card, and the trouble says what to do."""
    visit = store.visits.begin("x" * 500, "quick", 1.0, steps=STEPS * 300)
    with store._database.transaction() as connection:
        connection.execute(
            "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < ?)"
            " INSERT INTO findings (boot, at, wall, synced, visit, step, kind, severity)"
            " SELECT boot, at, wall, synced, id, 'shape', 'tilt', 1 FROM n, visits",
            (MOST_FINDINGS - 1,),
        )
    store.visits.add_finding(visit, 2.0, "shape", "tilt", 1)
    with pytest.raises(StoreTrouble, match="begin another visit") as caught:
        store.visits.add_finding(visit, 2.0, "shape", "tilt", 1)
    assert caught.value.why is Why.FULL
    record = store.visits.one(visit)
    assert record is not None
    assert (len(record.findings), len(record.steps), len(record.label)) == (MOST_FINDINGS, MOST_STEPS, LONGEST)


def test_a_viewing_takes_little_room(store: Store) -> None:
    """Forty steps, thirty findings and thirty readings: at most 64 KiB of the file, the log folded in."""
    before, visits = _size(store), 8
    for _ in range(visits):
        _viewing(store)
    each = (_size(store) - before) / visits
    print(f"a viewing takes {each / 1024:.1f} KiB of the file")
    assert 4096 < each < 64 * 1024


def test_the_largest_viewing_takes_a_bounded_room(store: Store) -> None:
    """As many steps and findings as are kept at all, each of the longest words: still at most 64 KiB."""
    before = _size(store)
    longest = "x" * LONGEST
    visit = store.visits.begin(
        longest, longest, 1.0, steps=[RouteStep(longest, longest, longest, longest)] * MOST_STEPS
    )
    for _ in range(MOST_FINDINGS):
        store.visits.add_finding(visit, 2.0, longest, longest, 1, 1, longest)
    grown = _size(store) - before
    print(f"the largest visit takes {grown / 1024:.1f} KiB of the file")
    assert grown <= 64 * 1024


def _viewing(store: Store) -> None:
    steps = [
        RouteStep(f"moving-crosshatch-{n}", "Moving crosshatch, warm", "moving-crosshatch", "across") for n in range(40)
    ]
    visit = store.visits.begin("the walnut one, Mr Example", "long-look", 1.0, title="A long look", steps=steps)
    for number in range(1, 41):
        store.visits.mark_step(visit, number, StepState.REACHED, 2.0)
        if number > 10:
            store.visits.add_finding(visit, 3.0, steps[0].key, "burn-in-logo", 2, 5, "Burnt-in mark, in pictures too")
            store.visits.add_reading(visit, 3.0, "left margin", 6.5, "%", 0.5)
        store.visits.mark_step(visit, number, StepState.LOOKED, 4.0)
    store.visits.end(visit, 999.0, "completed")


def _size(store: Store) -> int:
    """Bytes of the file once its log is folded in."""
    return int(store._database.rows("PRAGMA page_count")[0][0]) * 4096


def test_what_comes_again_is_kept_once(store: Store) -> None:
    """A visit's beginning and a note that were reported lost and are there: the same numbers, nothing twice."""
    visit = store.visits.begin("", "glance", 5.0, once=True)
    assert store.visits.begin("", "glance", 5.0, once=True) == visit
    assert store.visits.begin("", "glance", 5.5, once=True) != visit
    note = store.visits.add_finding(visit, 6.0, "red", "burn-in", 2, number=7)
    assert store.visits.take_back(visit, 7)
    assert store.visits.add_finding(visit, 6.0, "red", "burn-in", 2, number=7) == note
    assert not store.visits.take_back(visit, 8)
    record = store.visits.one(visit)
    assert record is not None
    assert [(finding.number, finding.undone) for finding in record.findings] == [(7, True)]
    assert not record.low
    store.visits.mark_low(visit)
    again = store.visits.one(visit)
    assert again is not None
    assert again.low


def test_a_visit_deleted_while_it_runs_takes_nothing_more(store: Store) -> None:
    """Whatever comes of it later is refused, told in words, and not in the file; it stays ended as deleted."""
    gone = store.visits.begin("secret", "quick", 1.0, steps=STEPS)
    store.visits.delete(gone, 2.0)
    for late in (
        lambda: store.visits.add_finding(gone, 3.0, "shape", "tilt", 1, number=2),
        lambda: store.visits.take_back(gone, 2),
        lambda: store.visits.add_reading(gone, 3.0, "left margin", 1.0, "%"),
        lambda: store.visits.mark_step(gone, 1, StepState.LOOKED, 3.0),
        lambda: store.visits.describe(gone, label="secret"),
        lambda: store.visits.end(gone, 3.0, "completed"),
    ):
        with pytest.raises(VisitDeleted, match="was deleted: nothing more is kept"):
            late()
    for table in ("findings", "readings"):
        assert store._database.rows(f"SELECT count(*) FROM {table}") == [(0,)]  # noqa: S608 # ours
    assert store._database.rows("SELECT label, how, end_at FROM visits") == [("", "deleted", 2.0)]


def test_notes_stand_in_the_order_they_were_made(store: Store) -> None:
    """One that was kept only when it was tried again stands where it belongs, not where the file has it."""
    visit = store.visits.begin("", "glance", 1.0)
    store.visits.add_finding(visit, 3.0, "red", "tilt", 1, number=4)
    store.visits.add_finding(visit, 2.0, "red", "bow", 1, number=3)
    record = store.visits.one(visit)
    assert record is not None
    assert [finding.kind for finding in record.findings] == ["bow", "tilt"]
    assert [[finding.number for finding in each.findings] for each in store.visits.last()] == [[3, 4]]
