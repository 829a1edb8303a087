"""A soak as a person has it: cautions, phases, pauses, presence, notes, power cuts."""

import gc
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appliance.activities.blink import DARK, LIT
from appliance.activities.soak_event import KINDS
from appliance.activities.soak_words import OBSERVATIONS, STOPPING, Cause
from appliance.activities.soaking import Soaking, State
from appliance.lettering.captions import fits
from appliance.patterns.catalogue import catalogue
from appliance.presses.press import Kind, Press
from appliance.soaks import find_soak, soak_names
from appliance.video.formats import FORMATS, Format
from tests.activities.invented import RATE
from tests.activities.soaked import HATCH, PAN, REST, SOAK, WHITE, Bench, a_soak


def test_a_whole_soak() -> None:
    """Cautions, dim start, each phase in turn, the set off and on again, the end, and a key out of it."""
    bench = Bench().started()
    bench.wait_for(State.RESTING)
    assert bench.picture == ("black", "0")
    assert bench.told("phase") == ["pan", "white", "rest"]
    bench.wait_for(State.WAITING)
    bench.wait(5000)
    assert bench.at(State.WAITING), "nobody switched the set on"
    bench.key("go")
    assert bench.at(State.WARMING)
    bench.wait_for(State.DONE)
    assert bench.told("phase") == ["pan", "white", "rest", "pan", "hatch"]
    assert bench.soaking.showing().signals.running == LIT
    assert bench.soaking.elapsed(bench.now) == SOAK.total
    bench.key("back")
    assert bench.soaking.over
    assert bench.soaking.due() is None
    assert bench.told("ended") == ["complete"]
    assert {event.kind for event in bench.log} <= set(KINDS)


def test_the_cautions_are_all_shown_before_a_held_go_counts() -> None:
    """A held go on the first page does nothing; on or after the last it starts, over black; short go only leafs."""
    bench = Bench()
    bench.key("go", Kind.HELD)
    assert bench.at(State.CAUTION)
    pages = []
    while bench.words not in pages:
        assert bench.picture == ("black", "0")
        pages.append(bench.words)
        bench.key("go")
    said = "\n".join(pages)
    for needed in ("smoke alarm", "in reach", "Never leave it for the night", "seizures", "Hold go"):
        assert needed in said
    bench.key("go", Kind.HELD)
    assert bench.at(State.WARMING)


def test_cautions_turn_by_themselves_and_give_up() -> None:
    """Every page comes up by itself; after two minutes nobody wanted it, and no event was made."""
    bench, seen = Bench(), set()
    for _ in bench.steps(119):
        seen.add(bench.words)
    assert len(seen) == 5
    bench.wait(2)
    assert bench.soaking.over
    assert bench.log == []


def test_it_starts_dim() -> None:
    """Thirty seconds of a dim grey come before the first phase, after a rest too: no load on a cold set."""
    bench = Bench(a_soak(PAN))
    bench.soaking._pages_seen = True
    bench.key("go", Kind.HELD)
    assert bench.picture == ("grey", "10")
    bench.wait(29.9)
    assert bench.picture == ("grey", "10")
    bench.wait(0.2)
    assert bench.picture == ("pan", "slow")


class Flips(Bench):
    """A screen whose pictures go up at the next field only, as on a tube."""

    first: dict[int, float]

    def _stamp(self) -> float:
        return float(ceil(Fraction(self.now) * RATE) / RATE)

    def look(self) -> None:
        """As above, noting when each phase first went up."""
        super().look()
        self.first = getattr(self, "first", {})
        if self.soaking.state in (State.RUNNING, State.DONE):
            index = self.soaking._clock.index + (self.soaking.state is State.DONE)
            self.first.setdefault(index, self._stamp())


@pytest.mark.parametrize("name", ["short", "watched"])
@pytest.mark.parametrize("fmt", FORMATS.values(), ids=list(FORMATS))
def test_each_phase_lasts_its_exact_number_of_fields(name: str, fmt: object) -> None:
    """Counted between the fields in which the pictures first went up, against exact rational arithmetic."""
    soak = replace(find_soak(name), looks=(), presence_minutes=0)
    bench = Flips(soak).started()
    bench.wait_for(State.DONE)
    seconds = [phase.seconds for phase in soak.phases]
    exact = [sum(map(Fraction, seconds[:n])) * RATE for n in range(len(seconds) + 1)]
    for n in range(len(seconds)):
        fields = (Fraction(bench.first[n + 1]) - Fraction(bench.first[n])) * RATE
        wanted = round(exact[n + 1]) - round(exact[n])
        assert abs(fields - wanted) < Fraction(1, 1000), (n, float(fields), wanted)
    assert abs(round(exact[-1]) - exact[-1]) <= Fraction(1, 2)


def test_a_late_flip_moves_the_phase_and_does_not_shorten_it() -> None:
    """White that comes up half a second late still lasts a minute from there."""
    soaking = Bench(a_soak(PAN, WHITE, PAN)).started().soaking
    due = soaking.timers["phase over"]
    soaking.timers = {"phase over": due}
    soaking.tick(due)
    late = due + 0.5
    soaking.shown("white", late)
    fields = soaking.soak.end_fields(RATE)
    assert soaking.timers["phase over"] == pytest.approx(late + float((fields[1] - fields[0] - 0.5) / RATE), abs=1e-6)


def test_progress_stands_a_few_seconds_each_minute_never_twice_in_one_place() -> None:
    """The moving picture stands still under its words, and moves bare; high and low take turns."""
    bench, places = Bench(a_soak(replace(PAN, seconds=1800))).started(), []
    for _ in bench.steps(1700):
        showing = bench.soaking.showing()
        assert showing.moving == (showing.caption is None)
        if showing.caption:
            places.append((bench.now, showing.caption.high, bench.words))
    assert len(places) == 28
    assert all(first[1] != second[1] for first, second in pairwise(places))
    assert places[9][2].startswith("0:09 gone · 0:21 left")
    assert "Phase 1 of 1" in places[9][2]


def test_go_pauses_dim_and_goes_on_where_it_was() -> None:
    """The soak's time stands in a pause, however long."""
    bench = Bench(a_soak(PAN, HATCH)).started()
    bench.wait(100)
    before = bench.soaking.elapsed(bench.now)
    bench.key("go")
    assert bench.picture == ("grey", "10")
    assert "0:01 of 0:07" in bench.words
    bench.wait(9999)
    assert bench.soaking.elapsed(bench.now) == pytest.approx(before)
    bench.key("go")
    assert bench.picture == ("pan", "slow")
    assert bench.soaking.elapsed(bench.now) == pytest.approx(before)
    bench.wait(200.1)
    assert bench.picture == ("crosshatch", "white")
    assert bench.told("paused") == bench.told("resumed") == ["by a key"]


def test_words_that_stand_change_their_place_every_minute() -> None:
    """In a pause of an hour the words are never a minute and a half in one place."""
    bench = Bench(a_soak(PAN)).started()
    bench.key("go")
    caption = bench.soaking.showing().caption
    assert caption is not None
    places = [(bench.now, caption.high)]
    for now in bench.steps(3600):
        caption = bench.soaking.showing().caption
        assert caption is not None
        if caption.high != places[-1][1]:
            assert now - places[-1][0] <= 60
            places.append((now, caption.high))
    assert len(places) >= 60


@pytest.mark.parametrize("key", ["forward", "back", "go", "vary", "note", "7"])
def test_any_key_in_a_bright_phase_is_black_at_once_and_stays(key: str) -> None:
    """The edge down alone makes black, for ever; the next key leads to a dim wait, not to the load."""
    bench = Bench(a_soak(WHITE, PAN)).started()
    assert bench.soaking.press(Press(Kind.TOUCH, key, bench.now)), "the key is spent"
    assert bench.picture == ("black", "0")
    assert bench.soaking.urgent
    bench.wait(50_000)
    assert bench.picture == ("black", "0")
    assert bench.words == ""
    bench.key(key)
    assert bench.at(State.PAUSED)
    assert bench.picture == ("grey", "10")
    assert bench.told("paused") == ["black by a key"]


def test_forward_skips_a_phase_and_says_how_much() -> None:
    """The next phase begins at its own second; a key that is still held skips no further."""
    bench = Bench(a_soak(PAN, HATCH, PAN)).started()
    bench.wait(100)
    bench.key("forward")
    assert bench.picture == ("crosshatch", "white")
    assert bench.soaking.elapsed(bench.now) == pytest.approx(300, abs=0.01)
    bench.key("forward", Kind.REPEAT)
    assert bench.picture == ("crosshatch", "white")
    assert bench.told("skipped") == ["pan: 200 s left out"]
    bench.key("forward")
    bench.key("forward")
    assert bench.at(State.DONE)
    assert bench.told("ended") == ["complete but for 10 min left out"]  # 200 s, 120 s and 300 s


def test_less_than_a_minute_left_out_is_complete() -> None:
    """What was skipped is added up over the phases, the set's rest too, and told from a minute on."""
    for waits, ended in (((250, 115), "complete"), ((240.3, 115), "complete but for 1 min left out")):
        bench = Bench(a_soak(PAN, HATCH)).started()
        for seconds in waits:
            bench.wait(seconds)
            bench.key("forward")
        assert bench.told("ended") == [ended]
    bench = Bench(a_soak(PAN, REST, PAN)).started()
    bench.wait_for(State.RESTING)
    bench.key("forward")
    bench.key("go")
    bench.wait_for(State.DONE)
    assert bench.told("ended") == ["complete but for 10 min left out"]


def test_nobody_there() -> None:
    """Dim and calling after the minutes set, from the last key of any kind on; a key goes on where it was."""
    bench = Bench(a_soak(replace(PAN, seconds=7200), presence=20)).started()
    bench.wait(600)
    bench.key("7")
    bench.wait(1199)
    assert bench.at(State.RUNNING)
    bench.wait(2)
    assert bench.at(State.ABSENT)
    assert bench.picture == ("grey", "10")
    assert bench.soaking.showing().signals.attention.times == (0.5, 0.5)
    stood = bench.soaking.elapsed(bench.now)
    bench.wait(7000)
    assert bench.soaking.elapsed(bench.now) == stood
    bench.key("note")
    assert bench.at(State.RUNNING), "the key that wakes it does nothing else"
    assert bench.told("absent") == ["no key for 20 min"]
    assert bench.told("back") == ["after 1:56 dim"]


def test_a_note_in_three_presses() -> None:
    """Note, forward to the kind, go; the soak's time stands meanwhile."""
    bench = Bench(a_soak(PAN)).started()
    bench.wait(30)
    bench.key("note")
    assert not bench.soaking.showing().moving
    bench.wait(5)
    bench.key("forward")
    bench.key("go")
    assert bench.told("observation") == [OBSERVATIONS[1]]
    assert bench.at(State.RUNNING)
    assert bench.soaking.elapsed(bench.now) == pytest.approx(30, abs=0.1)


@pytest.mark.parametrize("kind", sorted(STOPPING))
def test_what_is_a_sign_of_danger_makes_it_wait(kind: str) -> None:
    """Smell, a snap, a line, a set that went off: noted, and no load until a person says so."""
    bench = Bench(a_soak(PAN)).started()
    bench.key("note")
    for _ in range(OBSERVATIONS.index(kind)):
        bench.key("forward")
    bench.key("go")
    assert bench.told("observation") == [kind]
    assert bench.at(State.PAUSED)


def test_a_note_in_a_pause_leads_back_to_the_pause() -> None:
    """Kept, left or forgotten: the set stays dim."""
    for leave in ("go", "note", None):
        bench = Bench(a_soak(PAN)).started()
        bench.key("go")
        bench.key("note")
        if leave:
            bench.key(leave)
        else:
            bench.wait(21)
        assert bench.at(State.PAUSED), leave


def test_a_held_note_asks_once_more_before_it_ends() -> None:
    """Another key, or none for long, goes on; go ends, and the log says by whom and when."""
    bench = Bench(a_soak(PAN)).started()
    bench.wait(61)
    bench.key("note", Kind.HELD)
    assert "0:01" in bench.words
    bench.key("back")
    assert bench.at(State.RUNNING)
    bench.key("note", Kind.HELD)
    bench.wait(21)
    assert bench.at(State.RUNNING)
    bench.key("note", Kind.HELD)
    bench.key("go")
    assert bench.soaking.over
    assert bench.told("ended") == ["by a key"]


@pytest.mark.parametrize("menu", [("vary",), ("note",), ()], ids=["look", "note", "running"])
def test_a_lost_screen_waits_for_a_person(menu: tuple[str, ...]) -> None:
    """What cannot be seen is not counted, and no load comes back by itself."""
    bench = Bench(a_soak(PAN)).started()
    bench.wait(50)
    for key in menu:
        bench.key(key)
    bench.soaking.screen_lost(bench.now)
    bench.wait(500)
    assert bench.at(State.PAUSED)
    assert bench.soaking.elapsed(bench.now) == pytest.approx(50, abs=0.1)


def test_a_picture_that_does_not_come_up_is_not_counted() -> None:
    """Two seconds after it was asked for the soak waits, its time where it was."""
    soaking = Bench(a_soak(PAN)).started().soaking
    soaking.press(Press(Kind.SHORT, "go", 100.0))
    before = soaking.elapsed(100.0)
    soaking.press(Press(Kind.SHORT, "go", 101.0))
    soaking.tick(103.5)
    assert soaking.state is State.PAUSED
    assert soaking.elapsed(110.0) == before


def test_a_cut_soak_waits_for_a_held_go() -> None:
    """Dim, calling, with the facts; short keys do nothing; held go goes on dim first, where it stopped."""
    soak = a_soak(PAN, HATCH)
    bench = Bench(soaking=Soaking.resumed(soak, 310.5, RATE, 0.0))
    assert bench.picture == ("grey", "10")
    assert "Cut at 0:05 of 0:07" in bench.words
    assert bench.soaking.showing().signals.attention != DARK
    for key in ("go", "forward", "back", "vary", "note"):
        bench.key(key)
    bench.wait(100_000)
    assert bench.at(State.CUT)
    bench.key("go", Kind.HELD)
    assert bench.picture == ("grey", "10")
    bench.wait_for(State.RUNNING)
    assert bench.picture == ("crosshatch", "white")
    assert bench.soaking.elapsed(bench.now) == 310.5
    bench.wait_for(State.DONE)
    assert bench.told("cut") == ["power cut at 0:05 of 0:07"]
    assert bench.told("resumed") == ["after the power cut"]


@pytest.mark.parametrize(
    ("cause", "words"),
    [
        (Cause.POWER_CUT, "after the power cut"),
        (Cause.PROGRAM_ENDED, "after the program ended"),
        (Cause.STOPPED, "after the box was stopped"),
    ],
)
@pytest.mark.parametrize("elapsed", [200, 430])
def test_it_is_taken_up_after_what_cut_it(cause: Cause, words: str, elapsed: float) -> None:
    """The log blames no power cut for a stop or for a program that ended, in a picture or in a rest."""
    bench = Bench(soaking=Soaking.resumed(SOAK, elapsed, RATE, 0.0, cause=cause))
    bench.key("go", Kind.HELD)
    assert bench.told("cut")[0].startswith(f"{cause} at 0:0")
    assert bench.told("resumed") == [words]


@pytest.mark.parametrize(
    ("before", "ended"), [(0, "complete"), (29, "complete"), (600, "complete but for 10 min left out")]
)
def test_what_was_left_out_before_a_cut_is_at_the_end(before: int, ended: str) -> None:
    """All that was left to run was run: the end still lacks what was skipped before the cut."""
    bench = Bench(soaking=Soaking.resumed(a_soak(PAN, HATCH), 310, RATE, 0.0, left_out=before))
    bench.key("go", Kind.HELD)
    bench.wait_for(State.DONE)
    assert bench.told("ended") == [ended]


def test_a_soak_that_says_so_goes_on_by_itself() -> None:
    """With ``resume: true``: dim for half a minute, then on."""
    bench = Bench(soaking=Soaking.resumed(a_soak(PAN, HATCH, resume=True), 200, RATE, 0.0))
    assert bench.picture == ("grey", "10")
    bench.wait(31)
    assert bench.picture == ("pan", "slow")
    assert [event.kind for event in bench.log] == ["cut", "resumed", "phase"]


def test_a_rest_that_was_cut_is_held_to_its_end() -> None:
    """The cut is told where it was, a held go has the set off for the remainder, and nothing of it is left out."""
    bench = Bench(soaking=Soaking.resumed(SOAK, 430, RATE, 0.0))
    assert "Cut at 0:07 of 0:23" in bench.words
    bench.key("go", Kind.HELD)
    assert bench.told("cut") == ["power cut at 0:07 of 0:23"]
    assert bench.at(State.RESTING)
    assert bench.picture == ("black", "0")
    assert "Rest: 9 min left" in bench.words
    bench.wait(529)
    assert bench.at(State.RESTING)
    bench.wait(2)
    assert bench.at(State.WAITING)
    bench.key("go")
    bench.wait_for(State.DONE)
    assert bench.told("phase") == ["rest", "pan", "hatch"]
    assert bench.told("skipped") == []
    assert bench.told("ended") == ["complete"]


def test_a_rest_that_was_cut_goes_on_by_itself() -> None:
    """With ``resume: true``: the remainder of the rest at once, and the set is still switched on by a person."""
    soak = a_soak(PAN, REST, PAN, resume=True)
    bench = Bench(soaking=Soaking.resumed(soak, 370, RATE, 0.0))
    assert bench.picture == ("black", "0")
    bench.wait(529)
    assert bench.at(State.RESTING)
    bench.wait(2)
    assert bench.at(State.WAITING)
    assert [event.kind for event in bench.log if event.kind != "heartbeat"] == ["cut", "resumed", "phase", "paused"]


def test_a_rest_cut_as_it_ended_is_over() -> None:
    """A field before its end, where it stands while it waits for the set, nothing of a rest is taken up again."""
    bench = Bench(soaking=Soaking.resumed(SOAK, 960 - float(1 / RATE), RATE, 0.0))
    bench.key("go", Kind.HELD)
    assert bench.at(State.WARMING)


@pytest.mark.parametrize("fmt", FORMATS.values(), ids=list(FORMATS))
def test_a_cut_just_after_a_phase_began_shows_nothing_of_the_one_before(fmt: Format) -> None:
    """The phase's first field comes up to half a field before its second: taken up there, the phase itself is up."""
    bench = Bench(soaking=Soaking(SOAK, fmt.field_rate, 0.0)).started()
    bench.wait_for(State.RESTING)
    for event in (event for event in bench.log if event.kind == "phase"):
        after = Bench(soaking=Soaking.resumed(SOAK, event.elapsed, fmt.field_rate, 0.0))
        after.key("go", Kind.HELD)
        assert after.at(State.RESTING if event.words == "rest" else State.WARMING)
        after.wait(31)
        assert after.told("phase") == [event.words]


@pytest.mark.parametrize("elapsed", [-5, 0, 360, 400, 1380, 10**9])
def test_any_place_of_a_cut_is_taken(elapsed: float) -> None:
    """Before, in a rest, at the end and beyond it."""
    bench = Bench(soaking=Soaking.resumed(SOAK, elapsed, RATE, 0.0))
    bench.key("go", Kind.HELD)
    for _ in bench.steps(3000):
        assert not bench.at(State.RUNNING) or not bench.soaking.phase.rest
        if bench.at(State.WAITING):
            bench.key("go")
    assert bench.at(State.DONE)


def test_nothing_goes_on_from_cold_without_its_dim_start() -> None:
    """A question asked before the first picture, or after a rest, leads back through the dim half minute."""
    bench = Bench()
    bench.soaking._pages_seen = True
    bench.key("go", Kind.HELD)
    bench.key("note", Kind.HELD)
    bench.key("back")
    assert bench.at(State.PAUSED)
    bench.key("go")
    assert bench.at(State.WARMING)


def pressed(draw_from: list[str]) -> st.SearchStrategy[list[tuple[Kind, str, float]]]:
    """Presses with a gap before each."""
    return st.lists(st.tuples(st.sampled_from(list(Kind)), st.sampled_from(draw_from), st.floats(0, 400)), max_size=60)


@given(pressed(["forward", "back", "go", "vary", "note", "3"]))
def test_whatever_is_pressed_nothing_breaks(presses: list[tuple[Kind, str, float]]) -> None:
    """Time never goes back or beyond the total, words fit, every picture is in the catalogue, what asks gives up."""
    bench = Bench(replace(SOAK, presence_minutes=5))
    bench.soaking._pages_seen = True
    bench.key("go", Kind.HELD)
    patterns, furthest = catalogue(), 0.0
    for kind, key, gap in presses:
        for _ in bench.steps(gap):
            showing = bench.soaking.showing()
            assert showing.variant in patterns[showing.pattern].variants
            assert showing.caption is None or all(len(line) <= 28 for line in showing.caption.lines)
        bench.key(key, kind)
        elapsed = bench.soaking.elapsed(bench.now)
        assert furthest <= elapsed + 0.01
        assert elapsed <= SOAK.total
        furthest = max(furthest, elapsed)
    bench.wait(2000)
    asks = (State.NOTING, State.ENDING, State.LOOKING, State.OFFERED, State.WARMING, State.CAUTION)
    assert bench.soaking.state not in asks


def test_all_words_fit_on_every_screen() -> None:
    """Every caption of every soak that ships, at every minute, in every format (the lettering's own measure)."""
    said = set()
    for name in soak_names():
        bench = Bench(find_soak(name))
        for _ in bench.steps(60):
            said.add(bench.words)
        bench.started()
        said |= set(_all_said(bench))
    for words in said:
        for fmt in FORMATS.values():
            assert fits(words.splitlines(), fmt), words


def _all_said(bench: Bench) -> list[str]:
    said = []
    while not bench.at(State.DONE):
        bench.wait(7)
        said.append(bench.words)
        if bench.soaking.state in (State.OFFERED, State.WAITING):
            bench.key("go")
        elif bench.at(State.LOOKING):
            bench.key("forward")
            said.append(bench.words)
            bench.key("go")
        elif bench.at(State.ABSENT):
            bench.key("back")
    for state in State:
        if state not in (State.LOOKING, State.OFFERED):
            bench.soaking.state = state
            for kind in range(len(OBSERVATIONS)):
                bench.soaking._kind = kind
                said.append(bench.words)
    return said


class Tended(Bench):
    """Somebody comes by every nine minutes, presses a digit, and switches the set on after a rest."""

    def until_done(self) -> int:
        """Run to the end; how many events there were."""
        events, visit = 0, self.now
        while not self.soaking.over:
            visit += 545
            for _ in self.steps(visit - self.now):
                events += len(self.log)
                self.check_phases()
                self.log.clear()
                assert self.soaking.events == []
                assert len(self.soaking.timers) <= 6
            if self.soaking.state is State.WAITING:
                self.key("go")
            elif not self.soaking.phase.bright:
                self.key("5")
        return events

    def check_phases(self) -> None:
        """A phase begins at its own second of the soak, to a field."""
        for event in self.log:
            if event.kind == "phase":
                assert abs(event.elapsed - self.soaking.soak.start(event.phase)) <= 1 / RATE


def test_thirty_days_of_soaks() -> None:
    """Each phase of each soak begins at its second; at most two events a minute; no object is left behind."""
    soak, now, events, soaks, objects = find_soak("soak"), 0.0, 0, 0, list[int]()
    while now < 30 * 86_400:
        bench = Tended(soak, now).started()
        events += bench.until_done()
        assert bench.soaking.elapsed(bench.now) == soak.total
        now = bench.now
        del bench
        soaks += 1
        if soaks % 40 == 1:
            gc.collect()
            objects.append(len(gc.get_objects()))
    assert events <= 2 * now / 60
    assert soaks > 160
    assert max(objects[1:]) - objects[1] < 100


def test_a_rest_is_told_and_may_be_cut_short() -> None:
    """The minutes left stand on the screen; forward ends it, and the set still waits for a person."""
    bench = Bench(a_soak(PAN, REST, PAN)).started()
    bench.wait_for(State.RESTING)
    assert "Rest: 10 min left" in bench.words
    bench.wait(125)
    assert "Rest: 8 min left" in bench.words or "Rest: 9 min left" in bench.words
    bench.key("forward")
    assert bench.at(State.WAITING)
    bench.key("go")
    bench.wait(31)
    assert bench.soaking.elapsed(bench.now) == pytest.approx(901, abs=1.1)
