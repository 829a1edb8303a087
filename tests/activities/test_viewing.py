"""A viewing as a person has it: the card, the route, notes, danger, power cuts."""

from dataclasses import replace

import pytest

from appliance.activities.blink import DARK, LIT
from appliance.activities.showing import Code
from appliance.activities.viewing import State, Viewing
from appliance.activities.viewing_noting import Graded
from appliance.activities.viewing_plan import MORE, MOST_NOTES, NOT_SAID, WARMTHS, ZONES, Guide, Route, Step
from appliance.activities.viewing_words import DANGER_PAGES, OFF_KEPT, OFF_PAGES
from appliance.findings import fits_everywhere
from appliance.patterns.registry import SPARED, STANDS
from appliance.presses.press import Kind, Press
from appliance.records.entries import MOST_FINDINGS
from tests.activities.viewed import BOUNCE, FMT, GUIDE, HUM, KINDS, LIKELY, LOAD, RED, RUN, SHAPE, Visit, a_guide


def test_a_whole_visit() -> None:
    """Card, steps, a counted load that goes on by itself, what moves, the summary, and out."""
    visit = Visit()
    assert visit.viewing.showing().large == "12"
    assert "Photograph this" in visit.words
    visit.keys("go go")
    assert visit.picture == ("black", "0"), "the caution stands over black"
    assert "any key: black at once" in visit.words.lower()
    visit.key("go")
    assert visit.picture == ("white", "100")
    visit.wait(10.1)
    assert visit.picture == ("red", "100")
    visit.wait(8.5)
    assert visit.step == "hum"
    visit.keys("go").wait(1)
    assert visit.at(State.READY)
    visit.keys("go")
    assert visit.viewing.showing().moving
    visit.keys("go go")
    assert visit.at(State.FLASHING)
    visit.wait(15)
    assert visit.step == "again"
    visit.key("go")
    assert visit.words == "Visit 12: nothing noted\n7 of 7 steps looked at"
    visit.keys("go go")
    assert visit.viewing.over
    assert visit.card.ended == "7 of 7 steps looked at"
    assert set(visit.card.marks.values()) == {"looked"}


def test_the_card_takes_signal_path_and_warmth() -> None:
    """Both are on the card once go started it, and a photograph shows them; one press says cold, two say warm."""
    visit = Visit().keys("forward vary")
    assert visit.words.splitlines()[1] == "RF modulator, cold · go"
    visit.keys("vary")
    assert visit.words.splitlines()[1] == "RF modulator, warm · go"
    visit.keys("go")
    assert (visit.card.path, visit.card.warmth) == ("modulator", WARMTHS[1])
    assert visit.keys("back").at(State.CARD)
    visit.keys("back back back go")
    assert visit.card.path == "modulator", "three back is once round"


def test_what_nobody_said_of_the_warmth_is_kept_as_not_said() -> None:
    """The card claims neither cold nor warm by itself; said and taken back it is not said again, and outlasts a cut."""
    for keys in ("", "vary vary vary"):
        visit = Visit().keys(keys)
        assert visit.words.splitlines()[1] == "composite, warmth? · go"
        visit.keys("go go")
        assert visit.card.warmth == NOT_SAID
        visit.restart()
        assert visit.viewing.outcome.warmth == NOT_SAID


def test_mid_grey_is_the_first_picture() -> None:
    """What a set that is switched on cold should show stands under the card."""
    assert Visit().picture == ("grey", "50")


def test_a_note_by_four_presses() -> None:
    """note, forward to the second likely kind, vary for bad, go keeps; it is told as kept, and go leads on."""
    visit = Visit().keys("go note forward vary go")
    assert visit.words == "Top or bottom curved\nkept: bad, all over"
    (note,) = visit.card.notes.values()
    assert (note.step, note.kind, note.severity, note.zone) == ("shape", "bow", 3, None)
    assert visit.step == "shape"
    assert visit.card.marks == {1: "looked"}
    assert visit.keys("go").step == "white"


def test_a_zone_by_the_pad_or_by_a_held_go() -> None:
    """A digit is the zone as it lies there, 0 the whole screen; a held go lets forward, back and vary choose."""
    visit = Visit().keys("go note 3 go")
    assert visit.words.endswith("kept: plain, top right")
    visit.keys("note go+")
    assert visit.words.splitlines()[0] == "Where: middle · go"
    visit.keys("back vary go")
    assert visit.words.endswith("kept: plain, bottom left")
    visit.keys("note 7 0 go")
    assert visit.words.endswith("kept: plain, all over")
    visit.keys("note go+ 9 note")
    assert visit.at(State.NOTING)
    assert "all over" in visit.words
    assert [note.zone for note in visit.card.notes.values()] == [3, 7, None]
    assert visit.keys("go+ 9 0").at(State.NOTING)
    assert ZONES[2] == "top right"


def test_likely_kinds_come_first_and_more_behind_them() -> None:
    """forward comes round in the likely ones and "more", which opens all the others, dangers last."""
    visit, seen = Visit().keys("go note"), []
    for _ in range(4):
        seen.append(visit.viewing._choice.kind)
        visit.key("forward")
    assert seen == [*LIKELY, MORE]
    assert visit.viewing._choice.kind == LIKELY[0]
    assert visit.keys("vary back").words == "More kinds\ngo: by their groups"
    assert visit.keys("go").words == "Geometry\ngo: its kinds"
    assert visit.keys("forward go+").words == "One colour weak\nbad, all over · go: keep"
    visit.keys("go")
    assert [note.kind for note in visit.card.notes.values()] == ["weak-gun"]
    visit.keys("note back go back go back")
    assert visit.viewing._choice.kind == "danger"


def test_note_again_leaves_without_noting() -> None:
    """Nothing is kept and the step is where it was, not looked at."""
    visit = Visit().keys("go note vary note")
    assert visit.step == "shape"
    assert visit.at(State.STEP)
    assert visit.card.notes == {}
    assert visit.card.marks == {}


def test_a_held_note_takes_the_last_one_back() -> None:
    """Wherever it is; told once it is on the card; and with nothing noted it says so."""
    visit = Visit().keys("go note go note forward go note+")
    assert visit.words == "Top or bottom curved\ntaken back"
    assert [note.kind for note in visit.card.notes.values()] == ["tilt"]
    visit.keys("note+")
    assert visit.card.notes == {}
    assert visit.keys("note+").words == "Nothing to take back"


@pytest.mark.parametrize("choosing", ["note", "note go+"])
def test_no_note_is_taken_back_in_silence(choosing: str) -> None:
    """A held note while another is chosen leaves that, and tells what was taken back."""
    visit = Visit().keys("go note go").keys(choosing).keys("note+")
    assert (visit.state, visit.words) == (State.STEP, "Picture turned\ntaken back")
    assert visit.card.notes == {}


def test_what_the_card_refuses_is_never_told_as_kept() -> None:
    """It says so, tries again after ten seconds, and tells when it is kept after all."""
    visit = Visit().keys("go")
    visit.card.broken = True
    visit.keys("note go")
    assert visit.words == "Picture turned\nNOT kept, tried again soon"
    visit.keys("note+")
    assert "NOT kept" in visit.words
    visit.keys("note forward go")
    visit.card.broken = False
    visit.wait(11)
    assert [note.kind for note in visit.card.notes.values()] == ["bow"], "what was taken back meanwhile is not there"
    assert visit.words.endswith("kept: plain, all over")


def test_a_note_is_told_as_kept_only_when_the_card_has_it() -> None:
    """However long that takes: until then it is being kept, and the route can go on."""
    visit = Visit().keys("go")
    visit.slow = True
    visit.keys("note go")
    assert visit.words == "Picture turned\nbeing kept"
    visit.wait(600)
    assert "kept" not in visit.words
    visit.answer()
    assert visit.words == "Picture turned\nkept: plain, all over"


def test_a_note_that_failed_with_its_taking_back_behind_it() -> None:
    """Both were handed out before the card answered, the first in vain: it is not there in the end."""
    visit = Visit().keys("go")
    visit.slow = True
    visit.keys("note go note+")
    first, *others = (record.number for record in visit._unanswered)
    visit.viewing.kept(first, visit.now)
    note, *rest = others
    visit.viewing.not_kept(note, visit.now)
    for number in rest:
        visit.viewing.kept(number, visit.now)
    visit._unanswered = []
    visit.slow = False
    visit.wait(11)
    assert visit.card.notes == {}
    assert visit.viewing.outcome.notes == ()
    assert visit.viewing._notebook.ledger.open == 0


def test_the_summary_says_what_is_not_kept() -> None:
    """A card that stays broken is told at the end."""
    visit = Visit(a_guide(SHAPE))
    visit.card.broken = True
    visit.keys("go note go go")
    visit.wait(5)
    assert visit.words.startswith("NOT kept so far: ")
    assert visit.keys("forward").words.startswith("Visit 12: 1 noted")


def test_nothing_goes_on_by_itself_unless_the_step_says_so() -> None:
    """A step waits for long; the lamp tells when it was looked at for long enough."""
    visit = Visit(a_guide(HUM, SHAPE)).keys("go")
    assert visit.viewing.showing().signals.running not in (LIT, DARK)
    visit.wait(20)
    assert visit.viewing.showing().signals.running == LIT
    assert visit.wait(2000).step == "hum"


def test_words_of_a_step_come_one_screen_after_the_other_and_go() -> None:
    """vary brings them back."""
    visit = Visit(a_guide(HUM)).keys("go")
    assert visit.words == "Grey\nBars"
    assert visit.wait(3.5).words == "A second screen\nof words"
    assert visit.wait(4).words == ""
    assert visit.keys("vary").words == "Grey\nBars"


def test_a_note_holds_a_step_that_goes_on() -> None:
    """Its time waits while a note is made, and a few seconds are left at least to see that it is kept."""
    visit = Visit(a_guide(RED, SHAPE)).keys("go").wait(6)
    visit.keys("note").wait(100)
    assert visit.step == "red"
    visit.key("go").wait(4)
    assert visit.step == "red"
    assert visit.wait(2).step == "shape"


def test_a_step_that_was_not_seen_does_not_count() -> None:
    """A lost screen stops what goes on by itself; the step is not looked at."""
    visit = Visit(a_guide(RED, SHAPE)).keys("go")
    visit.viewing.screen_lost(visit.now)
    assert visit.wait(100).step == "red"
    assert visit.card.marks == {}


def test_a_key_pressed_twice_passes_no_step_unseen() -> None:
    """go right after go is not "fine here" of a step that nobody can have looked at, nor of one just noted at."""
    visit = Visit().key("go").key("go").wait(0.2).key("go")
    assert (visit.step, visit.card.marks) == ("shape", {})
    visit.wait(1).keys("note").key("go").wait(0.2).key("go")
    assert (visit.step, visit.words) == ("shape", "Picture turned\nkept: plain, all over")
    assert visit.wait(0.2).key("go").step == "white"


def test_a_step_whose_picture_is_not_up_yet_is_not_fine() -> None:
    """However long a slow board draws; once it is up go counts; and with no screen at all it leads on as well."""
    viewing = Viewing(a_guide(SHAPE, HUM, SHAPE), 12, FMT, 0.0)
    for at, shown, place in ((1.0, "", 0), (5.0, "", 0), (5.2, "crosshatch", 0), (6.0, "", 1), (9.0, "", 1)):
        viewing.shown(shown, at - 0.1)
        viewing.press(Press(Kind.SHORT, "go", at))
        assert viewing._place == place
    viewing.screen_lost(9.5)
    viewing.press(Press(Kind.SHORT, "go", 10.0))
    assert viewing._place == 2


def test_forward_leaves_a_step_out() -> None:
    """Skipped is kept as such, until it is looked at after all; a look is never made undone by stepping past."""
    visit = Visit().keys("go forward")
    assert visit.card.marks == {1: "skipped"}
    visit.keys("back go back forward")
    assert visit.card.marks == {1: "looked"}


@pytest.mark.parametrize("key", ["forward", "back", "go", "note", "5", "vary"])
def test_any_key_in_a_load_is_black_at_once_and_stays(key: str) -> None:
    """In full white and in light and dark by turns: the edge down alone, and nothing else happens."""
    for step in (LOAD, BOUNCE):
        visit = Visit(a_guide(step, SHAPE)).keys("go")
        visit.key("go").wait(1)
        spent = visit.viewing.press(Press(Kind.TOUCH, key, visit.now))
        assert spent == (key != "vary")
        assert visit.picture == ("black", "0")
        assert visit.viewing.urgent
        visit.wait(1000)
        assert visit.picture == ("black", "0")
        assert visit.step == step.key
        assert visit.card.marks == {}
        assert visit.keys("go").state in (State.ASKED, State.READY), "the caution again"


def test_vary_held_in_a_load_is_black_at_once_and_danger() -> None:
    """Its edge makes black, its hold tells of danger: one press."""
    visit = Visit(a_guide(LOAD)).keys("go").key("go").wait(1)
    visit.key("vary", Kind.HELD)
    assert visit.at(State.DANGER)


def test_what_moves_shows_its_caution_until_go() -> None:
    """It stands until the caution was up for a moment and go was pressed; any key stops it, and acts."""
    visit = Visit(a_guide(RUN, SHAPE)).key("go")
    assert visit.words.startswith("Moving stripes")
    visit.key("go")
    assert visit.at(State.READY), "a key that bounces does not skip the caution"
    visit.wait(2000)
    assert not visit.viewing.showing().moving
    visit.keys("go")
    assert visit.viewing.showing().moving
    assert visit.viewing.showing().caption is None
    visit.viewing.press(Press(Kind.TOUCH, "note", visit.now))
    assert not visit.viewing.showing().moving
    visit.viewing.press(Press(Kind.SHORT, "note", visit.now))
    assert visit.at(State.NOTING)


@pytest.mark.parametrize(("step", "begun"), [(LOAD, State.LOAD), (RUN, State.MOVING), (BOUNCE, State.FLASHING)])
def test_what_is_told_over_a_caution_puts_off_its_go(step: Step, begun: State) -> None:
    """A note kept late, or taken back: go takes the words away, and starts when the caution itself was up."""
    visit = Visit(a_guide(SHAPE, step)).keys("go")
    visit.slow = True
    visit.keys("note go go")
    state = visit.state
    visit.slow = False
    visit.look()
    assert "\nkept: " in visit.words
    visit.wait(2).key("go")
    assert (visit.state, "\nkept: " in visit.words) == (state, False)
    visit.key("go")
    assert visit.state is state, "not before it could be read"
    visit.wait(1).keys("note+").wait(5).key("go")
    assert visit.state is begun
    visit.viewing.screen_lost(visit.now)


def test_a_moving_picture_that_was_stopped_goes_on_behind_its_caution() -> None:
    """vary shows the next variant, standing, with the caution first."""
    visit = Visit(a_guide(RUN, SHAPE)).keys("go").wait(1).keys("go vary")
    assert visit.at(State.READY)
    assert visit.picture == ("moving-crosshatch", "down")
    assert visit.keys("go").viewing.showing().moving


def test_bright_pictures_are_dimmed() -> None:
    """After a minute at a step and while a note is made of a load."""
    visit = Visit(a_guide(RED)).keys("go").keys("note")
    assert visit.wait(61).picture == ("red", "25")
    assert visit.wait(601).picture == ("red", "25 spared"), "and what came instead in its turn"
    assert visit.keys("note").picture == ("red", "100")
    visit = Visit(a_guide(LOAD)).keys("go note")
    assert visit.picture == ("white", "25")


@pytest.mark.parametrize("before", ["go", "go note", "go vary", "go note go+"])
def test_a_picture_that_stands_long_is_spared_as_in_stepping(before: str) -> None:
    """After ten minutes at half its signal, wherever it stands; a key that leads away brings the light back."""
    visit = Visit().keys(before)
    variant = visit.picture[1]
    assert visit.wait(590).picture[1] == variant
    assert visit.wait(20).picture[1] == variant + SPARED
    visit.keys("note note" if "+" in before else "note")
    assert visit.picture == ("crosshatch", variant)


@pytest.mark.parametrize("before", ["", "go", "go note", "go note go+", "go go+", "go forward", "go forward go"])
def test_danger_is_one_press_from_everywhere(before: str) -> None:
    """Black at once, off at the wall, no retry, black is not safe; it is on the card."""
    visit = Visit().keys(before)
    visit.key("vary", Kind.HELD)
    assert visit.picture == ("black", "0")
    assert visit.viewing.urgent
    assert [note.kind for note in visit.card.notes.values()] == ["danger"]
    assert visit.words == "Off at the wall, now.\nIt is noted and kept.", "what to do does not wait behind that"
    said = ""
    for _ in visit.steps(60):
        said += visit.words + "\n"
    assert "Off at the wall, now.\nDo not try it again." in said
    assert "Black does not make the set\nsafe." in said
    assert visit.wait(2000).picture == ("black", "0")


def test_a_danger_is_told_only_as_it_is_read_and_once() -> None:
    """A thumb that says go to everything notes none that was not on the screen, and none twice."""
    visit = Visit().keys("go vary+ go")
    assert visit.words == "Snaps, flashes, hiss\nforward: other · go notes it"
    assert [note.kind for note in visit.card.notes.values()] == ["danger"]
    assert visit.keys("go").words == "Snaps, flashes, hiss\nkept: bad, all over"
    assert visit.keys("go").words == "Snaps, flashes, hiss\nis noted already"
    assert [note.kind for note in visit.card.notes.values()] == ["danger", "arc"]


def test_danger_ends_the_route() -> None:
    """What it was can be told; then only the summary is left, and the record says that it ended so."""
    visit = Visit().keys("go vary+ forward")
    assert visit.words.startswith("Snaps, flashes, hiss")  # the first: none is passed over unseen
    visit.keys("forward go")
    assert [note.kind for note in visit.card.notes.values()] == ["danger", "smell"]
    visit.keys("note")
    assert visit.words.startswith("Danger was noted.")
    assert visit.keys("back").at(State.DANGER)
    visit.keys("note go go go go go")
    assert visit.viewing.over
    assert visit.card.ended == "danger"


def test_a_danger_noted_from_the_list_is_one_too() -> None:
    """However it was noted."""
    visit = Visit().keys("go forward note go")
    assert visit.at(State.DANGER)
    assert [note.kind for note in visit.card.notes.values()] == ["arc"]


@pytest.mark.parametrize("zone", ["", " 5"])
def test_a_bad_crack_stops_it_before_the_set_is_on(zone: str) -> None:
    """Noted as bad with the set off: not switched on, unplugged, at once and after a power cut; plain goes on."""
    glass = Graded("glass", "Scratch, chip or crack", "tube", danger_from=3)
    look = replace(SHAPE, key="set-off", likely=("glass", "tilt", "bow"))
    guide = Guide(Route("made", "Made", (look, SHAPE)), {**KINDS, "glass": glass})
    assert Visit(guide).keys("go note go").at(State.STEP)
    visit = Visit(guide).keys(f"go note vary{zone} go")
    assert visit.at(State.DANGER)
    assert visit.words == "Do not switch it on.\nIt is noted and kept."
    assert [(note.kind, note.severity, note.zone) for note in visit.card.notes.values()] == [
        ("glass", 3, 5 if zone else None)
    ]
    assert "Do not switch it on.\nLeave it unplugged." in {visit.words for _ in visit.steps(30)}
    assert not any("Off at the wall" in visit.words for _ in visit.steps(60))
    assert (visit.picture, visit.viewing.showing().signals.attention != DARK) == (("black", "0"), True)
    notes = list(visit.card.notes.values())
    again = Visit(viewing=Viewing.resumed(guide, 12, FMT, 0.0, notes=notes, marks={}, path="", warmth=""))
    assert again.words == "Do not switch it on.\nLeave it unplugged."
    assert again.keys("note").words.startswith("Danger was noted.")
    on = Visit(guide).keys("go forward note back go back back go go vary go")
    assert on.at(State.DANGER)
    assert any("Off at the wall" in on.words for _ in on.steps(30)), "the set is on at another step"
    assert [line for page in (*OFF_PAGES, OFF_KEPT) for line in page if not fits_everywhere(line)] == []
    assert len(OFF_PAGES) == len(DANGER_PAGES)


def test_danger_by_mistake_is_taken_back() -> None:
    """A held note, and the route goes on where it was."""
    visit = Visit().keys("go vary+ note+")
    assert visit.at(State.STEP)
    assert visit.step == "shape"
    assert visit.card.notes == {}
    assert visit.words.endswith("taken back")


def test_the_verdict_comes_on_request_only() -> None:
    """Neutral notes until vary asks; vary again brings them back."""
    visit = Visit(a_guide(SHAPE), judge=lambda outcome: ((f"It means {len(outcome.notes)}", "thing"),))
    visit.keys("go note go go")
    pages = [visit.words]
    for _ in range(3):
        pages.append(visit.keys("forward").words)
    assert not any("means 1" in page for page in pages)
    assert visit.keys("vary").words.startswith("It means 1")
    assert visit.keys("vary").words.startswith("Visit 12: 1 noted")


def test_the_tally_comes_as_codes() -> None:
    """note at the summary shows them in turn, without words over them; go or note leads back."""
    visit = Visit(viewing=Viewing(a_guide(SHAPE), 12, FMT, 0.0, tally=lambda _: ("first", "second")))
    visit.keys("go go note")
    assert visit.viewing.showing().code == Code("first", 12, 1, 2)
    assert visit.words == ""
    assert visit.keys("forward").viewing.showing().code == Code("second", 12, 2, 2)
    assert visit.keys("note").at(State.END)
    visit = Visit(a_guide(SHAPE)).keys("go go note")
    assert visit.at(State.END)
    assert visit.words == "No code: visit has no number\nIt is not kept so far."


def test_a_note_taken_back_at_the_summary_leaves_its_last_page() -> None:
    """A page less: the words are still those that go acts by."""
    visit = Visit(a_guide(SHAPE)).keys("go note go note forward go go go")
    last = visit.words
    assert last.startswith("vary: meaning")
    visit.keys("note+").wait(5)
    assert visit.words == last
    assert visit.keys("back").words == "Picture turned\nplain, all over"
    assert visit.keys("note+").wait(5).words == last
    assert visit.keys("back").words.startswith("Visit 12: nothing noted")
    assert visit.keys("go").at(State.END)


@pytest.mark.parametrize("key", ["forward", "back", "go", "vary", "note", "7"])
def test_a_code_that_stands_long_gives_way_until_a_key(key: str) -> None:
    """As still pictures do, after ten minutes: a dim grey; any key brings the same page back and does nothing else."""
    texts = ("first", "second", "third")
    visit = Visit(viewing=Viewing(a_guide(SHAPE), 12, FMT, 0.0, tally=lambda _: texts)).keys("go go note")
    assert visit.wait(500).keys("forward").wait(598).viewing.showing().code == Code("second", 12, 2, 3)
    visit.wait(1)
    assert (visit.viewing.showing().code, visit.picture) == (None, ("grey", "25"))
    assert visit.words == "Dimmed to spare the tube\nany key: the code again"
    assert visit.wait(5000).at(State.SPARED)
    visit.keys(key)
    assert visit.viewing.showing().code == Code("second", 12, 2, 3)
    assert visit.wait(598).viewing.showing().code
    assert visit.wait(2).viewing.showing().code is None
    visit.key("vary", Kind.HELD)
    assert visit.at(State.DANGER), "the key for danger is spent on nothing"


def test_a_held_go_asks_before_it_ends() -> None:
    """go ends at the summary, from where back leads to the step again; another key, or none, goes on."""
    visit = Visit().keys("go go+")
    assert visit.words.startswith("End here? 0 of 7")
    assert visit.keys("forward").step == "shape"
    assert visit.keys("go+").wait(21).at(State.STEP)
    visit.keys("go+ go")
    assert visit.at(State.END)
    assert visit.keys("back").at(State.STEP)


def test_a_visit_cut_short_is_offered() -> None:
    """From the step behind the last one looked at, with its notes; it can be put off, or ended."""
    visit = Visit().keys("forward go note go go")
    visit.restart()
    assert visit.words.startswith("Visit 12 cut at 2 of 7")
    assert visit.viewing.showing().signals.attention != DARK
    visit.wait(2000)
    assert visit.at(State.CUT)
    visit.key("go")
    assert visit.step == "white"
    assert visit.viewing.outcome.path == "modulator"
    visit.keys("back note forward go")
    assert [note.kind for note in visit.card.notes.values()] == ["tilt", "bow"]
    visit.restart()
    visit.key("note")
    assert visit.viewing.over
    assert visit.card.ended == ""
    visit.restart()
    visit.key("note", Kind.HELD)
    assert visit.card.ended == "1 of 7 steps looked at"


def test_a_visit_cut_before_any_step_was_left_begins_at_its_card() -> None:
    """How the signal comes and how warm the set is may still be put right."""
    visit = Visit().keys("forward vary go")
    visit.restart()
    assert visit.words.startswith("Visit 12 cut at its card")
    visit.keys("go")
    assert visit.at(State.CARD)
    assert visit.words.splitlines()[1] == "RF modulator, cold · go"


def test_a_danger_outlasts_a_power_cut() -> None:
    """The set is not offered again as if nothing had been."""
    visit = Visit().keys("go vary+")
    visit.restart()
    assert visit.at(State.DANGER)
    assert visit.picture == ("black", "0")


def test_a_danger_taken_back_after_a_power_cut_gives_the_step_its_whole_time() -> None:
    """A step that goes on by itself is not passed, and told as looked at, the moment it comes back."""
    guide = a_guide(SHAPE, RED, HUM)
    visit = Visit(guide).keys("go go vary+")
    visit.restart(guide)
    visit.keys("note+")
    assert visit.wait(6).step == "red"
    assert visit.card.marks == {1: "looked"}


def test_a_visit_that_is_full_says_so_and_still_takes_a_danger() -> None:
    """Not noted, and never told as kept, tried again or the disk's fault; those taken back count, after a cut too."""
    assert len([kind for kind in KINDS.values() if kind.danger]) <= MOST_FINDINGS - MOST_NOTES
    viewing = Viewing.resumed(
        GUIDE, 12, FMT, 0.0, notes=[], marks={}, path="", warmth="", last=300, noted=MOST_NOTES - 1
    )  # fmt: skip
    visit = Visit(viewing=viewing).keys("go go note go note+")
    assert visit.words.endswith("taken back")
    visit.keys("note go")
    assert visit.words == "NOT noted: 140 is the most\nhold go: end, begin another"
    assert visit.at(State.STEP)
    assert visit.card.notes == {}
    visit.keys("vary+ forward forward go")
    assert [note.kind for note in visit.card.notes.values()] == ["danger", "smell"]
    assert visit.viewing._notebook.ledger.late == 0


def test_words_that_stand_change_their_place() -> None:
    """Where a person may be long, words are never more than a minute in one place."""
    for before in ("", "go note", "go vary+", "go go+ go", "go go+ go note"):
        visit = Visit(viewing=Viewing(GUIDE, 12, FMT, 0.0, tally=lambda _: ("text",))).keys(before)
        visit.wait(STANDS if visit.at(State.CODE) else 0)
        places: list[bool] = []
        since = visit.now
        for now in visit.steps(600):
            caption = visit.viewing.showing().caption
            assert caption is not None
            if not places or caption.high != places[-1]:
                assert now - since <= 61
                places.append(caption.high)
                since = now
        assert len(places) >= 9, before


def test_a_refused_caution_step_has_no_timer_of_its_own() -> None:
    """The caution of a load waits as long as it takes."""
    visit = Visit(a_guide(LOAD, SHAPE)).keys("go").wait(600)
    assert visit.at(State.ASKED)
    assert visit.keys("go").at(State.LOAD)
    visit.wait(11)
    assert visit.card.marks == {1: "looked"}


def test_a_load_that_never_comes_up_is_black() -> None:
    """Nothing was seen, so nothing counts."""
    visit = Visit(a_guide(LOAD, SHAPE)).keys("go")
    visit.viewing.press(Press(Kind.TOUCH, "go", visit.now))
    visit.viewing.press(Press(Kind.SHORT, "go", visit.now))
    assert visit.at(State.LOAD)
    visit.now += 3
    visit.viewing.tick(visit.now)
    assert visit.picture == ("black", "0")
    assert visit.card.marks == {}
