"""A viewing on the box: chosen by keys, kept as it goes, cut and taken up again; in reckoned time."""

import sqlite3
from dataclasses import replace
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
import zxingcpp

from appliance.activities.box import State as Box
from appliance.activities.troubles import Trouble
from appliance.activities.viewing import State
from appliance.cli import main
from appliance.errors import Refused
from appliance.hardware.health import Health
from appliance.patterns.catalogue import catalogue
from appliance.records.entries import MOST_FINDINGS, Finding, Moment, StepState, VisitRecord
from appliance.records.judged import Knowledge, verdict_on
from appliance.records.store import Store
from appliance.records.tally import tally_pages
from appliance.service.menu import Menu, read_menu
from appliance.service.opening import Opening
from appliance.service.past_pages import MOST_KINDS, past_pages
from appliance.service.viewings import load_known
from appliance.video.formats import FORMATS
from tests.service.test_troubles import Disk
from tests.service.visited import Visited, looked, noted, visit

GLANCE = "A glance"
CARD = "Photograph this with the set"


def at_card(folder: Path, boot: str = "first", at: float = 0.0, **changes: Any) -> Visited:
    """A glance at its opening card."""
    return Visited(folder, boot, at, blinks=False, **changes).choose(GLANCE)


def photograph(box: Visited) -> str:
    """What zxing-cpp reads from the frame on the screen, at the shape of a 4:3 tube."""
    fmt = FORMATS[box.service.box.choice.format]
    frame = np.frombuffer(box.screen.frame(), "<u4").reshape(fmt.lines, fmt.samples)
    grey = cv2.resize((frame >> 8 & 0xFF).astype(np.uint8), (1440, 1080), interpolation=cv2.INTER_AREA)
    return next((found.text for found in zxingcpp.read_barcodes(grey)), "")


def test_a_whole_visit_by_keys_is_kept_from_end_to_end(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Card, steps, load, colours by themselves, two notes, summary, meaning, codes, end: all of it in the records."""
    box = at_card(tmp_path)
    assert (box.large, box.words) == ("1", f"{CARD}\ncomposite, warmth? · go")
    box.type("forward vary go")
    assert (box.picture, box.step) == (("grey", "50"), "set-off")
    box.type("go")
    assert (box.picture, box.step) == (("grey", "50"), "cold-start")
    box.type("note forward")
    assert box.words.startswith("One colour weak")
    box.press("go")
    assert box.words == "One colour weak\nkept: plain, all over"
    assert noted(tmp_path) == [("cold-start", "weak-gun", 2, None)], "told as kept, it is on the card"
    box.type("go go").wait_for(State.LOAD)
    while box.step != "shape":
        box.run(1)
    assert looked(tmp_path) == ["set-off", "cold-start", "white", "red", "green", "blue"]
    box.type("note vary 3 go go go go go")
    assert box.viewing.state is State.END
    assert box.words == "Visit 1: 2 noted\n10 of 10 steps looked at"
    box.type("vary forward")
    assert box.watch.words().endswith("Suspect: permanent, weighs\nheavily\n10 of 10 steps looked at")
    assert "NOT kept" not in box.watch.words()
    box.type("note")
    said = []
    for _ in range(len(box.viewing._codes)):
        said.append(photograph(box))
        box.type("forward")
    assert main(["tally", "1", "--state", str(tmp_path)]) == 0
    assert "\n\n".join(said) + "\n" == capsys.readouterr().out, "the codes shown are what the records tell"
    box.type("go go go")
    assert box.service.box.state is Box.STEPPING
    record = visit(tmp_path)
    assert (record.route, record.title, record.path, record.warmth) == ("glance", GLANCE, "modulator", "cold")
    assert (record.ended is not None, record.how) == (True, "10 of 10 steps looked at")
    assert noted(tmp_path)[1] == ("shape", "conv-edge", 3, 3)
    box.cut()
    assert Visited(tmp_path, "second").run(5).service.box.state is Box.STEPPING, "nothing is offered"


def test_every_route_and_the_last_visits_can_be_chosen(tmp_path: Path) -> None:
    """The usual route comes first behind stepping, then the others, then the visits of before."""
    box = Visited(tmp_path).run(1)
    box.press("go", 1.2)
    assert [activity.title for activity in box.service.box.activities[:7]] == [
        "Stepping", "A viewing", GLANCE, "A long look", "Setting up", "Last visits", "White stress",
    ]  # fmt: skip


def test_a_visit_that_was_cut_is_offered_and_taken_up(tmp_path: Path) -> None:
    """Where it was, on the attention lamp; go leads on; a note taken back before the cut costs no later one."""
    box = at_card(tmp_path).type("vary vary go go note go note go note+ go forward")
    assert noted(tmp_path) == [("cold-start", "slow-start", 2, None)]
    assert box.step == "red"
    box.cut()
    again = Visited(tmp_path, "second", 3.0).run(20)
    assert again.words == "Visit 1 cut at 4 of 10\ngo: on · hold note: end it"
    assert again.service.box.showing().signals.attention.times
    again.type("go")
    assert (again.step, again.viewing.warmth) == ("red", "warm")
    again.type("back back note go")
    assert noted(tmp_path) == [("cold-start", "slow-start", 2, None), ("cold-start", "slow-start", 2, None)]
    assert len(visit(tmp_path).findings) == 3, "the one taken back is there, marked"
    again.type("note+ note+")
    assert noted(tmp_path) == []
    assert [step.state for step in visit(tmp_path).steps[1:4]] == [
        StepState.LOOKED, StepState.SKIPPED, StepState.AHEAD,
    ]  # fmt: skip


@pytest.mark.parametrize(("key", "ended"), [("note", False), ("note+", True)])
def test_a_visit_that_was_cut_may_be_left_or_ended(key: str, ended: bool, tmp_path: Path) -> None:
    """``note`` leaves it for the next start, a held one ends it; in both the box steps on."""
    at_card(tmp_path).type("go go").cut()
    box = Visited(tmp_path, "second")
    box.run(2)
    assert box.viewing.state is State.CUT
    box.type(key)
    assert box.service.box.state is Box.STEPPING
    assert (visit(tmp_path).ended is not None) == ended
    box.stop()
    third = Visited(tmp_path, "third").run(2)
    assert (third.service.box.state is Box.STEPPING) == ended


def test_switching_off_in_a_visit_leaves_it_to_be_taken_up(tmp_path: Path) -> None:
    """Carried to another socket, the box asks at its next start."""
    box = at_card(tmp_path, off=lambda: True).type("go")
    box.hold_both("go", "note", 4)
    box.run(4)
    assert box.picture == ("black", "0")
    box.stop()
    assert Visited(tmp_path, "second").run(2).viewing.state is State.CUT


def test_a_route_that_is_another_now_ends_what_was_cut(tmp_path: Path) -> None:
    """Its steps could not be told apart any more: said on the screen, ended in the records."""
    at_card(tmp_path).type("go").cut()
    with sqlite3.connect(tmp_path / "records.sqlite") as records:
        records.execute("UPDATE steps SET key = 'gone' WHERE number = 4")
    records.close()
    box = Visited(tmp_path, "second").run(20)
    assert box.service.box.state is Box.STEPPING
    assert "Visit 1 was cut; its\nroute is another now" in box.watch.words()
    assert visit(tmp_path).how == "cut, and its route is another now"


def test_a_warmth_nobody_said_is_no_cold_start(tmp_path: Path) -> None:
    """Looked at as it came up and not called cold: kept as not said, and neither sheet, tally nor verdict claim it."""
    for number, keys, warmth in ((1, "", ""), (2, "vary ", "cold")):
        box = at_card(tmp_path, f"boot {number}").type(f"{keys}go go go go+ go vary")
        record = visit(tmp_path, number)
        assert record.warmth == warmth
        verdict = verdict_on(record, Knowledge.load())
        assert (verdict.cold_judged, verdict.headline.endswith("cold start not judged")) == (bool(keys), not keys)
        assert ("not judged" in box.words) == (not keys), "on the screen as on the sheet"
        assert ("cold or warm not said" in "".join(tally_pages(record, {}))) == (not keys)
        box.type("go go").stop()


# Danger


def test_danger_in_full_white_is_black_at_once_and_kept(tmp_path: Path) -> None:
    """One held key from the load: black from its edge on, off at the wall; after a cut it is said again at once."""
    box = at_card(tmp_path).type("go go go go").wait_for(State.LOAD)
    box.run(3)
    box.press("vary", 1.2)
    assert (box.viewing.state, box.picture) == (State.DANGER, ("black", "0"))
    assert "Off at the wall, now." in box.run(5).watch.words()
    assert noted(tmp_path) == [("white", "danger", 3, None)]
    box.cut()
    again = Visited(tmp_path, "second").run(2)
    assert again.viewing.state is State.DANGER
    again.type("note")
    assert again.words == "Danger was noted.\nLeave it off at the wall."
    again.type("go go")
    assert visit(tmp_path).how == "danger"


# Formats


def test_the_format_is_changed_under_a_viewing(tmp_path: Path) -> None:
    """``go`` and ``vary`` together offer one over the step; go keeps it, note takes it back; the step stays."""
    box = at_card(tmp_path).type("go")
    box.hold_both("go", "vary", 2.3)
    assert box.words == "480i NTSC: go keeps it\nnote: the old one · 10 sec"
    box.type("go")
    assert (box.service.box.choice.format, box.step, box.viewing.fmt) == ("480i", "set-off", FORMATS["480i"])
    box.hold_both("go", "vary", 2.3)
    box.type("forward note")
    assert (box.service.box.choice.format, box.viewing.fmt) == ("480i", FORMATS["480i"])
    box.hold_both("go", "vary", 2.3)
    box.run(10.5)
    assert box.service.box.choice.format == "480i", "it comes back by itself"
    box.hold_both("go", "vary", 2.3)
    box.press("vary", 1.2)
    assert (box.viewing.state, box.service.box.choice.format) == (State.DANGER, "480i"), "danger goes before an offer"
    box.hold_both("go", "vary", 2.3)
    assert box.service.box.choice.format == "480i", "nothing changes under the black of a danger"


# The card


def test_a_full_disk_is_told_and_what_was_noted_is_kept_later(tmp_path: Path) -> None:
    """Never told as kept before it is; tried again; well again, nothing of it is missing or there twice."""
    disk = Disk()
    box = at_card(tmp_path, connect=disk).type("go")
    disk.code = sqlite3.SQLITE_FULL
    box.type("note go", pause=0)
    assert "\nkept: " not in box.watch.words()
    assert "NOT kept, tried again soon" in box.run(10).watch.words()
    assert box.service.box.troubles == {Trouble.KEEPING}
    assert noted(tmp_path) == []
    disk.code = 0
    box.run(15)
    assert "\nkept: plain, all over" in box.watch.words()
    assert noted(tmp_path) == [("set-off", "glass", 2, None)]
    assert box.service.box.troubles == set()


class Liar(Disk):
    """Keeps what it is told to and, while ``lying``, says that it did not."""

    lying = False

    def _connection(self) -> type[sqlite3.Connection]:
        disk = self

        class Connection(sqlite3.Connection):
            def execute(self, *words: Any) -> sqlite3.Cursor:
                done = super().execute(*words)
                if disk.lying and words[0] == "COMMIT":
                    error = sqlite3.OperationalError("the disk is not well")
                    error.sqlite_errorcode = sqlite3.SQLITE_IOERR
                    raise error
                return done

        return Connection


def test_what_was_reported_lost_and_is_there_comes_not_twice(tmp_path: Path) -> None:
    """The beginning of the visit, a note, and its taking back: each once, though each was tried several times."""
    disk = Liar()
    box = Visited(tmp_path, blinks=False, connect=disk).choose("Stepping")
    box.choose(GLANCE).type("go go+ go forward forward go")
    disk.lying = True
    box.choose(GLANCE)
    assert box.large == ""
    assert "No number: not kept so far" in box.run(9).watch.words(), "once the box has said why"
    box.type("go note go note go note+").run(30)
    disk.lying = False
    box.run(25)
    assert box.viewing.number == 2
    disk.lying = True
    box.type("note forward go").run(25)
    disk.lying = False
    box.run(25)
    assert [(note.kind, note.undone) for note in visit(tmp_path, 2).findings] == [
        ("glass", False), ("glass", True), ("cord", False),
    ]  # fmt: skip


def test_a_visit_without_a_number_gets_one_once_the_disk_is_well(tmp_path: Path) -> None:
    """Until then it says so on the card and at the end, shows no code, and tells nothing as kept."""
    disk = Disk()
    box = Visited(tmp_path, blinks=False, connect=disk)
    box.run(1)
    disk.code = sqlite3.SQLITE_READONLY
    box.choose(GLANCE)
    assert box.large == ""
    assert "No number: not kept so far" in box.run(9).watch.words(), "once the box has said why"
    box.type("go note go go+ go", pause=0.3)
    assert box.words.splitlines()[0].startswith("NOT kept so far: ")
    box.type("note")
    assert box.viewing.state is State.END
    assert "\nkept: " not in box.watch.words()
    disk.code = 0
    box.run(25)
    assert box.viewing.number == 1
    assert noted(tmp_path) == [("set-off", "glass", 2, None)]


def test_what_is_open_at_the_end_of_a_visit_is_kept_when_the_disk_is_well(tmp_path: Path) -> None:
    """The person goes on to other things; the box tries each minute, and the visit is whole and ended in the end."""
    disk = Disk()
    box = at_card(tmp_path, connect=disk).type("go note go")
    disk.code = sqlite3.SQLITE_FULL
    box.type("note forward go note go note+ go+ go go go")
    assert box.service.box.state is Box.STEPPING
    assert visit(tmp_path).ended is None
    disk.code = 0
    box.run(130)
    assert [note.kind for note in visit(tmp_path).noted] == ["glass", "cord"]
    assert visit(tmp_path).how == "1 of 10 steps looked at"
    assert box.service.box.troubles == set()


def test_a_visit_whose_number_comes_after_its_end_is_whole(tmp_path: Path) -> None:
    """Begun, noted and ended while nothing could be kept: afterwards all of it is there."""
    disk = Disk()
    box = Visited(tmp_path, blinks=False, connect=disk)
    box.run(1)
    disk.code = sqlite3.SQLITE_FULL
    box.choose(GLANCE).type("go note go go+ go go go")
    assert box.service.box.state is Box.STEPPING
    disk.code = 0
    box.run(130)
    assert (noted(tmp_path), visit(tmp_path).ended is None) == ([("set-off", "glass", 2, None)], False)


def test_without_records_nothing_is_told_as_kept(tmp_path: Path) -> None:
    """A box that has no place for records views all the same."""
    box = Visited(tmp_path, blinks=False)
    box.service._scribe.archive = None
    box.choose(GLANCE).type("go note go").run(20)
    assert "\nkept: " not in box.watch.words()
    assert "NOT kept" in box.watch.words()


# What the box itself adds


def test_a_box_short_of_voltage_is_told_in_the_verdict(tmp_path: Path) -> None:
    """Kept with the visit, so that the sheet says it too."""
    words = "The box was short of voltage: bars, noise and loss of sync may be its own"
    for number, low in ((1, False), (2, True)):
        box = at_card(tmp_path, f"boot {number}")
        box.health = Health(low, None)
        box.run(31).type("go").note("black-level").type("go+ go vary")
        reasons = verdict_on(visit(tmp_path, number), Knowledge.load()).reasons
        assert (words in [reason.says for reason in reasons]) == low
        assert (words in " ".join(line for page in box.viewing._end_pages() for line in page)) == low
        box.type("go go").stop()
        assert visit(tmp_path, number).ended


def test_an_own_file_that_is_wrong_is_left_out_and_told(tmp_path: Path) -> None:
    """A wrong route: the others are there, the lamp counts, file and line are said."""
    box = Visited(tmp_path).run(1)
    wrong = replace(load_known(), guides=(), mistakes=(Refused("/etc/x/mine.yaml:7: steps: are 0"),))
    service = box.service

    def menu() -> Menu:
        return read_menu(lambda at: Moment("", at, at, False), lambda: 0.0, 4, lambda: wrong, lambda: ([], []))

    service._opening = Opening(service.box, service._room, service._scribe, menu)
    box.press("go", 1.2)
    box.press("note")
    box.run(1)
    assert box.words == "Wrong: mine.yaml:7\nleft out, or as it ships"
    assert service.box.troubles == {Trouble.SETTINGS}


# The last visits


def test_the_last_five_visits_are_leafed_through(tmp_path: Path) -> None:
    """What each was, how much was looked at, every kind noted with its worst and its places; like beside like."""
    box = Visited(tmp_path, blinks=False).choose("Last visits")
    assert box.words == "No visit has been kept\ngo: done"
    box.type("go")
    box.choose(GLANCE).type("forward vary vary go go note 3 go note 7 vary go note forward go go+ go go go")
    box.choose("A viewing").type("go go+ go go go")
    box.choose("Last visits")
    assert box.words == "Last visits: forward, back\nvary: what was noted"
    for key, words in (
        ("forward", "Visit 2: A viewing\ncomposite, warmth?"),
        ("vary", "2: nothing noted\n0 of 23 steps looked at"),
        ("forward", "1: 3 noted\n2 of 10 steps looked at"),
        ("vary", "1: bad, 2 places\nLate, dark first picture"),
        ("vary", "1: plain, all over\nOne colour weak"),
        ("back", "2: no more noted\n0 of 23 steps looked at"),
        ("vary", "Visit 2: A viewing\ncomposite, warmth?"),
        ("forward", "Visit 1: A glance\nRF modulator, warm"),
        ("forward", "Last visits: forward, back\nvary: what was noted"),
        ("vary", "2: nothing noted\n0 of 23 steps looked at"),
        ("vary", "Visit 2: A viewing\ncomposite, warmth?"),
    ):
        assert box.type(key).words == words
    box.type("note")
    assert box.service.box.state is Box.STEPPING


def test_a_visit_whose_set_was_named_at_home_is_shown_by_that_name(tmp_path: Path) -> None:
    """Its route stands with what was noted; a name too long, or in letters that the box lacks, is cut to what fits."""
    at_card(tmp_path).type("vary go go note go go+ go go go").stop()
    for name, shown in (
        ("the walnut one", "Visit 1: the walnut one"),
        ("Чёрный, aus dem Keller geholt", "1: ??????, aus dem Keller"),
    ):
        store = Store(tmp_path, boot_id="home", wall=lambda: (0.0, False))
        store.open()
        store.visits.describe(1, label=name)
        store.close()
        box = Visited(tmp_path, name, blinks=False).choose("Last visits").type("forward")
        assert box.words.startswith(shown)
        assert box.words.endswith("\ncomposite, cold")
        assert box.type("vary").words == "1: 1 noted, A glance\n2 of 10 steps looked at"
        box.type("go").stop()


def test_more_kinds_than_anybody_leafs_through_are_counted(tmp_path: Path) -> None:
    """The worst twelve have a page each, and no verdict is among the words."""
    moment = Moment("", 0.0, 0.0, False)
    notes = tuple(
        Finding(n, moment, "", key, 1 + n % 3, None, False, fault.name)
        for n, (key, fault) in enumerate(load_known().findings.kinds.items())
    )
    pages = past_pages(VisitRecord(7, "", "", moment, None, "", notes, title="A glance")).pages
    assert len(pages) == 2 + MOST_KINDS + 1
    assert pages[-1] == (f"7: {len(notes) - MOST_KINDS} more kinds", "All of them are on the sheet")
    assert all(page[0] == "7: bad, all over" for page in pages[2:-1])
    said = " ".join(line for page in pages for line in page).lower()
    assert not any(word in said for word in ("suspect", "weighs", "repair", "permanent", "verdict", "user control"))


def test_visits_that_cannot_be_read_are_said_to_be(tmp_path: Path) -> None:
    """A failing disk leaves a page of words, and a way out."""
    disk = Disk()
    box = at_card(tmp_path, connect=disk).type("go go+ go go go")
    disk.code = sqlite3.SQLITE_IOERR
    box.choose("Last visits")
    box.run(10)
    assert box.words == "The visits cannot be read\ngo: done"
    box.type("go")
    assert box.service.box.state is Box.STEPPING


def test_no_key_of_the_program_is_shown(tmp_path: Path) -> None:
    """The tally of a visit whose kinds and patterns are gone has their words alone."""
    at_card(tmp_path).type("go note back back go note go").cut()
    pages = "\n".join(tally_pages(visit(tmp_path), {}))
    assert "cataract" not in pages
    assert all(key not in pages.split() for key in catalogue() if "-" in key)


@pytest.mark.parametrize(
    ("keys", "step"),
    [
        ("", "set-off"), ("go", "cold-start"), ("forward", "cold-start"), ("note go", "set-off"),
        ("note go go", "cold-start"),
        # A note taken back before the cut leaves the step marked all the same, and nobody left it by that.
        ("note+", "set-off"), ("note go note+ note+", "set-off"), ("note+ go", "cold-start"),
        ("note+ forward back note go note+", "set-off"),
    ],
)  # fmt: skip
def test_a_visit_goes_on_at_a_step_that_was_noted_at_and_not_left(keys: str, step: str, tmp_path: Path) -> None:
    """Cut right after a note, the step comes again, counted as looked at all the while; left, it does not."""
    at_card(tmp_path).type("go note go").type(keys).cut()
    again = Visited(tmp_path, "second", 3.0).run(20).type("go")
    assert (again.viewing.state is State.CARD) == (step == "set-off"), (
        "no step was left: at its card, and on from there"
    )
    again.type("go" if step == "set-off" else "")
    assert (again.step, again.viewing.outcome.looked) == (step, frozenset({1}))
    again.type("forward")
    assert looked(tmp_path) == ["set-off"]


@pytest.mark.parametrize(("keys", "step"), [("", "cold-start"), ("note+", "cold-start"), ("note+ go", "white")])
def test_a_note_taken_back_right_before_a_cut_does_not_pass_its_step(keys: str, step: str, tmp_path: Path) -> None:
    """The step comes again whether its only note still counts or not; left after that, the next one comes."""
    at_card(tmp_path).type("go go note go").type(keys).cut()
    again = Visited(tmp_path, "second", 3.0).run(20)
    assert again.words.startswith(f"Visit 1 cut at {2 if step == 'cold-start' else 3} of 10")
    assert (again.type("go").step, again.viewing.outcome.looked) == (step, frozenset({1, 2}))


# What others do to the records meanwhile


def test_a_visit_deleted_while_it_runs_is_told_as_not_kept(tmp_path: Path) -> None:
    """Never told as kept; nothing comes back into the file, no disk is blamed, and later records are kept."""
    box = at_card(tmp_path).type("go")
    store = box.service._scribe._store
    assert store is not None
    store.visits.delete(1, 0.0)
    box.type("note go")
    assert "\nkept: " not in box.watch.words()
    assert "NOT kept, tried again soon" in box.run(12).watch.words()
    assert box.watch.words().count("Nothing is kept:\nthe visit was deleted") == 1
    box.type("go+ go go go")
    assert box.service.box.state is Box.STEPPING
    assert box.service.box.troubles == set()
    box.choose(GLANCE).type("go note go go+ go go go").run(61)
    assert noted(tmp_path, 2) == [("set-off", "glass", 2, None)]
    assert store._database.rows("SELECT how FROM visits WHERE id = 1") == [("deleted",)]
    assert store._database.rows("SELECT count(*) FROM findings WHERE visit = 1") == [(0,)]


def test_a_full_visit_is_told_as_such_and_holds_up_nothing(tmp_path: Path) -> None:
    """No disk is blamed and no lamp counts; what comes after it is kept, in this visit, at its end and in the next."""
    box = at_card(tmp_path).type("go")
    with sqlite3.connect(tmp_path / "records.sqlite") as records:
        records.execute(
            "WITH RECURSIVE n(i) AS (SELECT 1000 UNION ALL SELECT i + 1 FROM n WHERE i < 999 + ?)"
            " INSERT INTO findings (boot, at, wall, synced, visit, step, kind, severity, title, number)"
            " SELECT boot, at, wall, synced, id, 'set-off', 'cord', 1, 'Cord', i FROM visits, n",
            (MOST_FINDINGS,),
        )
    records.close()
    box.type("note go").run(12)
    assert "NOT kept: one visit holds\n150 notes and no more" in box.watch.words()
    assert "Disk full" not in box.watch.words()
    assert "\nkept: " not in box.watch.words()
    assert box.service.box.troubles == set()
    box.type("go go+ go go go").run(61)
    assert looked(tmp_path) == ["set-off"]
    assert visit(tmp_path).how == "1 of 10 steps looked at"
    box.choose(GLANCE).type("go note go")
    assert noted(tmp_path, 2) == [("set-off", "glass", 2, None)]
    assert box.service.box.troubles == set()


def test_screen_and_records_tell_the_same_of_low_voltage(tmp_path: Path) -> None:
    """Short of it in the first visit while nothing was written: told of that by both, and of the next by neither."""
    words = "The box was short of voltage: bars, noise and loss of sync may be its own"
    box = at_card(tmp_path)
    for low in (True, False):
        box.health = Health(low, None)
        box.run(31)
    for number, told in ((1, True), (2, False)):
        box.type("go").note("black-level").type("go+ go vary")
        reasons = verdict_on(visit(tmp_path, number), Knowledge.load()).reasons
        assert (words in [reason.says for reason in reasons]) == told
        assert (words in " ".join(line for page in box.viewing._end_pages() for line in page)) == told
        box.type("go go").choose(GLANCE)
