"""A soak on the box: chosen by keys, kept, cut and taken up again; in reckoned time."""

import gc
import os
import resource
import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest

from appliance.activities.box import State as Box
from appliance.activities.hosted_soak import soak_activities
from appliance.activities.soak_plan import Soak
from appliance.activities.soak_text import write_soak
from appliance.activities.soaking import State
from appliance.lettering.captions import fits
from appliance.records.entries import SoakRecord
from appliance.records.store import Store
from appliance.records.surroundings import FILE
from appliance.soaks import find_soak
from appliance.video.formats import FORMATS
from tests.activities.soaked import HATCH, REST, a_soak
from tests.service.soaked import Powered, kept

FIELD = float(FORMATS["240p"].field_time)


def test_a_whole_soak_by_keys_is_kept_from_end_to_end(tmp_path: Path) -> None:
    """Chosen by a held go, cautions read, held go, half an hour, the end: every phase at its second, all of it kept."""
    box = Powered(tmp_path, blinks=False).begin("short")
    box.run_tended()
    box.press("forward")
    assert box.service.box.state is Box.STEPPING
    record, soak = kept(tmp_path), find_soak("short")
    assert (record.name, record.title, record.how) == ("short", soak.title, "complete")
    assert record.ended is not None
    phases = [event for event in record.events if event.kind == "phase"]
    assert [event.phase for event in phases] == list(range(len(soak.phases)))
    for event in phases:
        assert event.elapsed == pytest.approx(soak.start(event.phase), abs=FIELD)
    assert [event.kind for event in record.events[:2]] == ["started", "phase"]
    assert record.events[-1].kind == "ended"
    assert len(record.beats) == pytest.approx(soak.total / 60, abs=2)
    box.stop()
    assert kept(tmp_path).how == "complete"


def running(folder: Path, key: str = "soak", seconds: float = 700.0) -> Powered:
    """A soak some minutes on."""
    box = Powered(folder, blinks=False).begin(key)
    return box.run(30).run(seconds)


def test_a_power_cut_is_told_and_waits_for_a_person(tmp_path: Path) -> None:
    """The next boot: dim, the attention lamp, where it was cut; a held go goes on there; the log says it all."""
    before = running(tmp_path, "short")
    elapsed = before.soaking.elapsed(before.waiter.now)
    before.cut()
    assert kept(tmp_path).ended is None
    box = Powered(tmp_path, "second", at=3.0, blinks=False).run(300)
    assert (box.soaking.state, box.picture) == (State.CUT, ("grey", "10"))
    assert box.words.startswith("Cut at 0:11 of ")
    assert box.service.box.showing().signals.attention.times
    assert box.watch.pictures[0][1].pattern == "crosshatch", "the first picture is up before the records are opened"
    box.press("go", 1.2)
    assert box.at(State.WARMING)
    box.run(40)
    assert box.at(State.RUNNING)
    assert elapsed - 61 <= box.soaking.elapsed(box.waiter.now) - 10 <= elapsed
    told = [(event.kind, event.words, event.moment.boot) for event in kept(tmp_path).events]
    assert ("cut", "power cut at 0:11 of 0:30", "second") in told
    assert ("resumed", "after the power cut", "second") in told
    box.run_tended()
    box.press("go")
    assert kept(tmp_path).how == "complete"


def test_a_cut_soak_may_be_ended(tmp_path: Path) -> None:
    """A held note ends it where it was cut, and the next boot offers nothing."""
    running(tmp_path).cut()
    box = Powered(tmp_path, "second", blinks=False).run(5)
    box.press("note", 1.2)
    assert box.service.box.state is Box.STEPPING
    assert kept(tmp_path).how == "by a key"
    box.cut()
    assert Powered(tmp_path, "third").run(5).service.box.state is Box.STEPPING


def test_a_soak_that_may_goes_on_by_itself_dim_first(tmp_path: Path) -> None:
    """``resume: true``: half a minute dim, then on from where it was cut, without any key."""
    before = Powered(tmp_path, blinks=False).run(1)
    soak = replace(find_soak("short"), resume=True)
    assert before.service.box.start(soak_activities([soak], 4)[0], before.waiter.now)
    before.soaking.cue("go held", before.waiter.now)
    before.run(400).cut()
    box = Powered(tmp_path, "second", blinks=False).run(5)
    assert box.picture == ("grey", "10")
    assert box.run(60).soaking.state is State.RUNNING


@pytest.mark.parametrize("resume", [False, True])
def test_a_rest_cut_as_it_began_goes_on_with_nothing_between(tmp_path: Path, resume: bool) -> None:
    """Its first field lies a little before its second: nothing of the phase before comes up, nor half a minute dim."""
    box = Powered(tmp_path, blinks=False).run(1)
    soak = a_soak(replace(HATCH, seconds=60), REST, HATCH, resume=resume)
    assert box.service.box.start(soak_activities([soak], 4)[0], box.waiter.now)
    box.soaking.cue("go held", box.waiter.now)
    box.run(92)
    assert box.at(State.RESTING)
    box.cut()
    box = Powered(tmp_path, "second", blinks=False).run(5)
    if not resume:
        assert box.picture == ("grey", "10")
        box.press("go", 1.2)
    assert box.at(State.RESTING)
    box.run(40)
    shown = [(view.pattern, view.variant) for _, view in box.watch.pictures[1:]]
    assert list(dict.fromkeys(shown)) == ([] if resume else [("grey", "10")]) + [("black", "0")]


def test_a_stop_and_a_restart_in_one_boot_are_no_power_cut(tmp_path: Path) -> None:
    """Told to stop, the box says so in the log; killed, it says next time that its program ended."""
    running(tmp_path).stop()
    box = Powered(tmp_path, "second", blinks=False).run(5)
    assert [event.words for event in kept(tmp_path).events][-2:] == [
        "the box was stopped",
        "the box was stopped at 0:11 of 4:00",
    ]
    box.press("go", 1.2)
    box.run(60).cut()
    box = Powered(tmp_path, "second", blinks=False).run(5)
    assert kept(tmp_path).events[-1].words == "program ended at 0:11 of 4:00"
    box.press("go", 1.2)
    assert [event.words for event in kept(tmp_path).events if event.kind == "resumed"] == [
        "after the box was stopped",
        "after the program ended",
    ]


def test_what_was_skipped_before_a_cut_is_left_out_at_the_end(tmp_path: Path) -> None:
    """A phase skipped in each of two boots, and all else run: the end lacks both, as kept and as told in the log."""
    box = running(tmp_path, "short", 100)
    box.press("forward")
    box.run(5).cut()
    for boot in ("second", "third"):
        box = Powered(tmp_path, boot, blinks=False).run(5)
        box.press("go", 1.2)
        box.run(100)
        if boot == "second":
            box.press("forward")
            box.run(5).cut()
    box.run_tended()
    record = kept(tmp_path)
    skipped = [event.words for event in record.events if event.kind == "skipped"]
    left = sum(int(words.rsplit(": ")[1].split()[0]) for words in skipped)
    assert len(skipped) == 2
    assert record.how == record.events[-1].words == f"complete but for {left / 60:.0f} min left out"


def test_a_skip_counts_though_the_cut_came_with_it(tmp_path: Path) -> None:
    """The skip was kept and nothing after it: what was skipped is not shown after all, since it is told as left out."""
    box = running(tmp_path, "short", 100)
    box.press("forward")
    box.cut()
    with sqlite3.connect(tmp_path / FILE) as records:
        (last,) = records.execute("SELECT number FROM events WHERE kind = 'skipped'").fetchone()
        records.execute("DELETE FROM events WHERE number > ?", (last,))
    records.close()
    box = Powered(tmp_path, "second", blinks=False).run(5)
    assert box.soaking.elapsed(box.waiter.now) == box.soaking.soak.ends[0]


def test_vary_held_at_power_up_comes_before_a_cut_soak(tmp_path: Path) -> None:
    """The way out of an unreadable screen stays one; the soak waits until the format is chosen."""
    running(tmp_path).cut()
    box = Powered(tmp_path, "second")
    box.keys.press("vary", 0.0, 3.0)
    box.run(2.5)
    assert box.service.box.state is Box.BLIND
    assert box.run(3).soaking.state is State.CUT
    assert box.service.box.choice.format == "480i"


def test_a_soak_that_cannot_be_shown_any_more_is_ended_and_told(tmp_path: Path) -> None:
    """A plan with a picture that this version has not: said on the screen, ended in the records, never a dark box."""
    store = Store(tmp_path, boot_id="old", wall=lambda: (0.0, False))
    store.open()
    number = store.begin_soak("old", "Old", write_soak(find_soak("short")).replace('"pan"', '"gone"'), 1.0)
    store.close()
    box = Powered(tmp_path).run(20)
    assert box.service.box.state is Box.STEPPING
    assert "A soak was cut, and cannot" in box.watch.words()
    assert kept(tmp_path).id == number
    assert "could not be taken up" in kept(tmp_path).how


def test_go_and_note_switch_off_in_a_soak(tmp_path: Path) -> None:
    """Held together in a phase that any key does not make black: black, and the soak is over in the records."""
    box = Powered(tmp_path, blinks=False, off=lambda: True).begin("short").run(130)
    assert not box.soaking.phase.bright
    box.keys.press("go", box.waiter.now + 0.1, 4)
    box.keys.press("note", box.waiter.now + 0.2, 4)
    box.run(3.5)
    assert kept(tmp_path).how == "the box was switched off by keys"
    assert box.picture == ("black", "0")


def test_black_in_a_bright_phase_spends_the_keys(tmp_path: Path) -> None:
    """The key that makes black does nothing else, however long it is held; no key changes the format under a soak."""
    box = running(tmp_path, seconds=640)
    assert box.soaking.phase.bright
    box.press("note", 2.0)
    assert (box.soaking.state, box.picture) == (State.BLACK, ("black", "0"))
    box.press("forward")
    assert box.soaking.state is State.PAUSED
    box.keys.press("go", box.waiter.now + 0.1, 3)
    box.keys.press("vary", box.waiter.now + 0.2, 3)
    box.run(5)
    assert (box.soaking.state, box.service.box.choice.format) == (State.PAUSED, "240p")
    box.press("note", 1.2)
    box.press("go")
    assert box.service.box.state is Box.STEPPING
    assert kept(tmp_path).how == "by a key"


def test_every_soak_that_ships_can_be_chosen(tmp_path: Path) -> None:
    """A held go lists stepping, the viewings, the white stress and each soak, in words that fit."""
    box = Powered(tmp_path).run(1)
    box.press("go", 1.2)
    said = []
    for _ in box.service.box.activities:
        said.append(box.words)
        assert all(fits(box.words.splitlines(), fmt) for fmt in FORMATS.values())
        box.press("forward")
    assert [words.splitlines()[0] for words in said] == [
        "Choose: Stepping", "Choose: A viewing", "Choose: A glance", "Choose: A long look", "Choose: Setting up",
        "Choose: Last visits", "Choose: White stress", "Choose: Soak: Half an hour", "Four hours after a repair",
        "Soak: An hour, watched",
    ]  # fmt: skip
    assert box.words == said[0]


DAYS = float(os.environ.get("FIELDMOUSE_SOAK_DAYS", "0.05"))
"""Days of soaks: 30 for the whole test, which then takes the one of four hours."""
LONG = "soak" if DAYS > 1 else "short"


def test_days_of_soaks_are_bounded(tmp_path: Path) -> None:
    """Soak after soak: each phase at its second, at most 700 bytes of records a minute, memory flat after the first."""
    box, soaks, sizes = Powered(tmp_path, blinks=False), 0, list[int]()
    while box.waiter.now < DAYS * 86_400:
        box.begin(LONG)
        box.run_tended()
        box.press("go")
        box.forget()
        soaks += 1
        gc.collect()
        sizes.append(resident())
        _check_phases(kept(tmp_path), find_soak(LONG))
    box.stop()
    assert (tmp_path / "records.sqlite").stat().st_size <= 60_000 + 700 * box.waiter.now / 60
    assert max(sizes) <= 1.05 * sizes[0]
    print(
        f"{soaks} soaks, {box.waiter.now / 86_400:.1f} days: {sizes[0] / 1e6:.1f} to {sizes[-1] / 1e6:.1f} MB resident"
    )


def resident() -> int:
    """Bytes of this process that are in memory (proc_pid_statm(5))."""
    return int(Path("/proc/self/statm").read_text("ascii").split()[1]) * resource.getpagesize()


def _check_phases(record: SoakRecord, soak: Soak) -> None:
    assert record.how == "complete"
    assert record.left_out == 0
    for event in record.events:
        if event.kind == "phase":
            assert event.elapsed == pytest.approx(soak.start(event.phase), abs=FIELD)
