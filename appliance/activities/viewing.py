"""Viewing: a set is led along a route, and what is found is noted by a few presses and kept.

Rules: ``go`` is "fine here" and leads on, ``note`` opens the kinds of fault, ``vary`` held is danger from everywhere,
``note`` held takes the last note back. Nothing goes on by itself unless the step says so, and then only while its
picture is up. A load is the white stress with all its rules; what moves shows its caution first. A note is told as
kept only when the store has said that it is.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import ClassVar

from appliance.activities.showing import Showing
from appliance.activities.stress import State as Stressing
from appliance.activities.stress import Stress
from appliance.activities.table import Machine, Table
from appliance.activities.viewing_ledger import Ledger
from appliance.activities.viewing_plan import DANGER, PATHS, USUAL_SEVERITY, WARMTHS, Guide, Page, Sort, Step
from appliance.activities.viewing_record import Described, Ended, Marked, Noted, Outcome, Record, TakenBack
from appliance.activities.viewing_showing import Facts, showing
from appliance.activities.viewing_table import CARD, END, HERE_IN_DANGER, TABLE, State
from appliance.activities.viewing_words import (
    DANGER_PAGES,
    LAST_PAGE_JUDGED,
    Judge,
    card_pages,
    end_pages,
    kept_words,
    load_pages,
    lost_words,
    note_page,
    ready_pages,
    zone_words,
)
from appliance.presses.edges import VARY
from appliance.presses.press import Kind as Press_
from appliance.presses.press import Press
from appliance.video.formats import Format

__all__ = ["State", "Viewing"]

TURN_TIME, SWAP_TIME, MESSAGE_TIME, ASK_TIME = 5, 60, 4, 20
"""Seconds: a page of words where several take turns; words in one place; a confirmation; a question about the end."""
READ_TIME, SETTLE_TIME = 0.4, 0.5
"""Seconds, as in the white stress: a caution up before ``go`` counts; black in which a second finger means nothing."""
LEAST_LEFT = 5
"""Seconds a step still stands that goes on by itself and was held up by a note."""

_NEXT = {State.STEP: ("go", "forward"), State.CARD: ("go",)}
_TURNING = frozenset({State.CARD, State.READY, State.ASKED, State.DANGER})


class Viewing(Machine):
    """Visit ``number`` along ``guide.route`` in the format ``fmt``; ``judge`` says what was found means.

    ``words_time``: seconds a step's words stand. Records come out by :meth:`drain`; each is to be answered by
    :meth:`kept` or :meth:`not_kept`.
    """

    table: ClassVar[Table] = TABLE

    def __init__(
        self,
        guide: Guide,
        number: int,
        fmt: Format,
        now: float,
        *,
        judge: Judge = lambda _: (),
        words_time: float = 4,
    ) -> None:
        super().__init__(State.CARD)
        self.guide, self.number, self.fmt = guide, number, fmt
        self.path, self.warmth = next(iter(PATHS)), WARMTHS[0]
        self._judge, self._words_time = judge, words_time
        self._notes: dict[int, Noted] = {}
        self._titles: dict[int, str] = {}
        self._marks: dict[int, str] = {}
        self._ledger, self._serial = Ledger(), 0
        self._stress: Stress | None = None
        self._place, self._variant, self._left = -1, 0, 0.0
        self._page = self._choice = self._danger_choice = 0
        self._severity, self._digit = USUAL_SEVERITY, ""
        self._zone: int | None = None
        self._message: tuple[str, ...] = ()
        self._judged = self._high = self._dimmed = self._done = self._held = False
        self._readable_at: float | None = None
        self._since = now
        self._land(now)

    @classmethod
    def resumed(  # noqa: PLR0913 - what the store knows of a visit
        cls,
        guide: Guide,
        number: int,
        fmt: Format,
        now: float,
        *,
        notes: Sequence[Noted],
        marks: Mapping[int, str],
        path: str,
        warmth: str,
        judge: Judge = lambda _: (),
        words_time: float = 4,
    ) -> "Viewing":
        """A visit that was cut short, as the store has it: it is offered, behind the last step that was marked.

        ``notes``: those that count. ``marks``: by place from 1. One in which danger was noted is there again at once.
        """
        viewing = cls(guide, number, fmt, now, judge=judge, words_time=words_time)
        viewing._notes = {note.number: note for note in notes}
        viewing._titles = {note.number: note.title for note in notes}
        viewing._serial = max(viewing._notes, default=0)
        viewing._marks = dict(marks)
        viewing.path, viewing.warmth = path if path in PATHS else viewing.path, warmth or viewing.warmth
        viewing._place = min(max(marks, default=0), len(guide.route.steps) - 1) if marks else -1
        viewing.state = State.DANGER if viewing._danger else State.CUT
        viewing._land(now)
        return viewing

    # What goes in

    def press(self, press: Press) -> bool:
        """Take a press; True when the keys now down must have no further meaning.

        ``vary`` alone keeps its held meaning while a load goes black: it is the key for danger.
        """
        self._digit = press.key
        if self.state is State.ASKED and press.key == "go" and press.kind is Press_.SHORT and self._stress:
            self._stress.press(press)
            self._follow(press.at)
            return False
        taken = super().press(press)
        return taken and press.kind is Press_.TOUCH and self.state is State.BLACKING and press.key != VARY

    def meaning(self, press: Press) -> str:
        """As the machine's; what leads to another step names the sort of it."""
        cue = self._told_apart(super().meaning(press), press.at)
        return cue if cue in self.table[self.state] else f"{cue} to {self._aim(cue)}"

    def tick(self, now: float) -> None:
        """Time has come to ``now``."""
        super().tick(now)
        if self._stress is not None:
            self._stress.tick(now)
            self._follow(now)
        self._ledger.retry(now)

    def due(self) -> float | None:
        """When :meth:`tick` next has something to do."""
        dues = [super().due(), self._stress.due() if self._stress else None, self._ledger.retry_at]
        return min((due for due in dues if due is not None), default=None)

    def shown(self, pattern: str, stamp: float) -> None:
        """A picture of ``pattern`` went up at ``stamp``: what is timed begins there."""
        if self._stress is not None:
            self._stress.shown(pattern, stamp)
            self._follow(stamp)
        elif self.state is State.READY and self._readable_at is None:
            self._readable_at = stamp + READ_TIME
        elif self.state in (State.STEP, State.MOVING, State.FLASHING) and pattern == self._step.pattern:
            self._set_time(stamp)

    def screen_lost(self, now: float) -> None:
        """No picture is up any more: nothing goes on by itself."""
        if self._stress is not None:
            self._stress.cue("screen lost", now)
            self._follow(now)
        self.cue("screen lost", now)

    def kept(self, number: int, now: float) -> None:
        """The store has the record of that number."""
        record = self._ledger.kept(number)
        if record is not None and (said := kept_words(record, self._title(record))):
            self._tell(said, now)

    def not_kept(self, number: int, now: float) -> None:
        """The store does not have the record of that number; it comes again."""
        record = self._ledger.lost(number, now)
        if record is not None:
            self._tell(lost_words(record, self._title(record)), now)

    # What comes out

    @property
    def over(self) -> bool:
        """True when there is nothing more to do here."""
        return self.state is State.OVER

    @property
    def urgent(self) -> bool:
        """True when black is wanted at once."""
        return self.state in (State.BLACKING, State.BLACK, State.DANGER)

    @property
    def loaded(self) -> bool:
        """True while fields are counted, when nothing slow may be done in between."""
        return self.state is State.LOAD

    @property
    def outcome(self) -> Outcome:
        """The visit as it stands."""
        looked = frozenset(place for place, state in self._marks.items() if state == "looked")
        notes = tuple(self._notes.values())
        return Outcome(self.number, notes, looked, len(self.guide.route.steps), self.path, self.warmth)

    def drain(self) -> list[Record]:
        """The records since the last time, and those that were not kept, once it is time to try again."""
        return self._ledger.drain()

    def showing(self) -> Showing:
        """Picture, words and lamps now."""
        if self._stress is not None and self.state is State.LOAD:
            return self._stress.showing()
        step = self._step if self._place >= 0 else None
        timing = any(name.startswith("time") for name in self.timers)
        return showing(
            Facts(
                State(self.state), self.number, step, self._variant_key, self._dimmed, self._current_page(),
                self._message, self._high, timing, self._done, self._since,
            )
        )  # fmt: skip

    # Moves: along the route

    def start(self, now: float) -> None:
        """The first step; how the signal comes is kept."""
        self._emit(Described(self._next(), now, self.path, self.warmth))
        self.go_on_to(self._place + 1, now)

    def find_fine(self, now: float) -> None:
        """Nothing here: the next step."""
        self._mark("looked", now)
        self.go_on_to(self._place + 1, now)

    def go_on(self, now: float) -> None:
        """The step's time is over."""
        self.find_fine(now)

    def go_further(self, now: float) -> None:
        """The next step; this one was not looked at."""
        self._mark("skipped", now)
        self.go_on_to(self._place + 1, now)

    def go_back(self, now: float) -> None:
        """The step before."""
        self.go_on_to(self._place - 1, now)

    def go_on_to(self, place: int, now: float) -> None:
        """The step at ``place``, counted from 0; beyond the last one the place stays."""
        if -1 <= place < len(self.guide.route.steps):
            self._place, self._variant = place, 0
            self._left = float(self._step.seconds) if place >= 0 else 0.0
        self._land(now)

    def return_here(self, now: float) -> None:
        """The step again where a question was asked, or black."""
        self._land(now)

    def take_up(self, now: float) -> None:
        """On with a visit that was cut short, at the first step that was not looked at yet."""
        self.go_on_to(self._resume_at(), now)

    def arrive_at_end(self, now: float) -> None:
        """The summary."""
        self._land(now)

    def ask_end(self, now: float) -> None:
        """Really?"""
        self._land(now)
        self.timers[f"given up to {self._sort(self._place)}"] = now + ASK_TIME

    def leave(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """Not now; it is offered again at the next start."""
        self.timers.clear()

    def finish(self, now: float) -> None:
        """The visit is over."""
        seen = len(self.outcome.looked)
        how = "danger" if self._danger else f"{seen} of {len(self.guide.route.steps)} steps looked at"
        self._emit(Ended(self._next(), now, how))
        self.timers.clear()

    # Moves: the opening card

    def next_path(self, now: float) -> None:
        """Another way for the signal."""
        self._choose_path(1, now)

    def path_before(self, now: float) -> None:
        """The way before."""
        self._choose_path(-1, now)

    def change_warmth(self, now: float) -> None:
        """Cold or warm."""
        self.warmth = _after(WARMTHS, self.warmth, 1)
        self._show_page(0, now)

    # Moves: pictures

    def vary(self, now: float) -> None:
        """The next variant, and the words again."""
        self._variant = (self._variant + 1) % len(self._step.variants)
        self._keep_left(now)
        self._land(now)

    def begin_moving(self, now: float) -> None:
        """Off it goes, without words."""
        self._land(now)

    def stop(self, now: float) -> None:
        """It stands, by a key or because nothing is seen of it, and goes on to no other step by itself."""
        self._land(now)
        self._held = True

    def hold(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """Nothing goes on by itself any more here."""
        self._held = True
        self._drop_times()

    def be_done(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """It was looked at for long enough."""
        self._done = True

    def dim(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """The tube is spared."""
        self._dimmed = True

    def go_black(self, now: float) -> None:
        """Black at once."""
        self._land(now)
        self.timers = {"settled": now + SETTLE_TIME}

    # Moves: words

    def next_words(self, now: float) -> None:
        """The step's next screen of words, or none."""
        self._page += 1
        if self._page < len(self._step.pages):
            self.timers["words over"] = now + self._words_time

    def turn_page(self, now: float) -> None:
        """The next page of those that take turns."""
        self._page += 1
        self.timers["turn"] = now + TURN_TIME

    def swap_place(self, now: float) -> None:
        """Words do not stand in one place for long."""
        self._high = not self._high
        self.timers["swap"] = now + SWAP_TIME

    def drop_message(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """It was told."""
        self._message = ()

    def next_page(self, now: float) -> None:
        """The next page of the summary; stays at the last."""
        self._show_page(min(self._page + 1, len(self._end_pages()) - 1), now)

    def page_before(self, now: float) -> None:
        """The page before."""
        self._show_page(max(self._page - 1, 0), now)

    def judge(self, now: float) -> None:
        """What it means, or the notes again."""
        self._judged = not self._judged
        self._show_page(0, now)

    # Moves: notes

    def begin_note(self, now: float) -> None:
        """Which kind?"""
        self._keep_left(now)
        self._choice, self._severity, self._zone = 0, USUAL_SEVERITY, None
        self._land(now)

    def next_kind(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """The next kind."""
        self._choice = (self._choice + 1) % len(self._offered)

    def kind_before(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """The kind before."""
        self._choice = (self._choice - 1) % len(self._offered)

    def change_severity(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """Plain, bad, slight."""
        self._severity = self._severity % 3 + 1

    def take_zone(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """The zone as it lies on the pad; 0 is the whole screen."""
        self._zone = int(self._digit) or None if self._digit.isdigit() else self._zone

    def begin_zone(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """Where is it?"""
        self._zone = self._zone or 5

    def leave_zone(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """All over after all."""
        self._zone = None

    def next_zone(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """The next zone, as one reads."""
        self._zone = (self._zone or 9) % 9 + 1

    def zone_before(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """The zone before."""
        self._zone = ((self._zone or 1) - 2) % 9 + 1

    def keep_note(self, now: float) -> None:
        """Noted, and told as kept once it is."""
        self._mark("looked", now)
        note = self._note(self._offered[self._choice], now)
        self._land(now)
        self._tell((note.title, "being kept"), now)

    def take_back(self, now: float) -> None:
        """The last note counts no more."""
        if not self._notes:
            self._tell(("Nothing to take back",), now)
            return
        number, note = self._notes.popitem()
        self._emit(TakenBack(self._next(), now, number))
        self._page = min(self._page, len(self._end_pages()) - 1) if self.state is State.END else self._page
        self._tell((note.title, "being taken back"), now)

    # Moves: danger

    def endanger(self, now: float) -> None:
        """Black, and away from the set."""
        self._note(DANGER, now, severity=3)
        self._land(now)

    def keep_danger(self, now: float) -> None:
        """A kind was noted that is a danger."""
        self._note(self._offered[self._choice], now)
        self._land(now)

    def tell_danger(self, now: float) -> None:
        """What it was."""
        note = self._note(self.guide.dangers[self._danger_choice], now, severity=3)
        self._tell((note.title, "being kept"), now)

    def next_danger(self, now: float) -> None:
        """Another danger."""
        self._choose_danger(1, now)

    def danger_before(self, now: float) -> None:
        """The danger before."""
        self._choose_danger(-1, now)

    def take_danger_back(self, now: float) -> None:
        """It was a mistake: back to the step."""
        self.take_back(now)
        said = self._message
        self._land(now)
        self._tell(said, now)

    # What they have in common

    @property
    def _step(self) -> Step:
        return self.guide.route.steps[max(self._place, 0)]

    @property
    def _variant_key(self) -> str:
        return self._step.variants[self._variant]

    @property
    def _offered(self) -> tuple[str, ...]:
        return self.guide.offered(max(self._place, 0))

    @property
    def _danger(self) -> bool:
        return any(self._is_danger(note.kind) for note in self._notes.values())

    def _is_danger(self, kind: str) -> bool:
        return kind in self.guide.kinds and self.guide.kinds[kind].danger

    def _told_apart(self, cue: str, now: float) -> str:  # noqa: PLR0911 - one for each state that does
        match self.state:
            case State.STEP if cue == "vary" and self._step.sort is Sort.MOVING:
                return "vary moving"
            case State.READY if cue == "go":
                return self._ready_cue(now)
            case State.NOTING | State.ZONE if cue == "go" and self._is_danger(self._offered[self._choice]):
                return "go danger"
            case State.DANGER if cue == "note held" and sum(map(self._is_danger, self._kinds_noted())) <= 1:
                return f"note held to {self._sort(self._place)}"
            case State.END if cue == "go" and self._page >= len(self._end_pages()) - 1:
                return "go last"
            case State.END if cue == "back" and self._page == 0:
                return f"back to {HERE_IN_DANGER if self._danger else self._sort(self._place)}"
        return cue

    def _kinds_noted(self) -> list[str]:
        return [note.kind for note in self._notes.values()]

    def _ready_cue(self, now: float) -> str:
        if self._readable_at is None or now < self._readable_at:
            return "go unread"
        return "go flashing" if self._step.flashing else "go"

    def _aim(self, cue: str) -> str:
        """The sort of what ``cue`` leads to in this state."""
        if self.state is State.CUT:
            return self._sort(self._resume_at())
        if self.state in (State.STEP, State.READY, State.ASKED, State.BLACK) and cue in ("forward", "back"):
            return self._sort(self._place + (1 if cue == "forward" else -1))
        return self._sort(self._place + (1 if cue in _NEXT.get(State(self.state), ()) else 0))

    def _sort(self, place: int) -> str:
        steps = self.guide.route.steps
        return CARD if place < 0 else END if place >= len(steps) else steps[place].sort

    def _resume_at(self) -> int:
        if not self._marks:
            return -1
        return min(max(self._marks), len(self.guide.route.steps) - 1)

    def _land(self, now: float) -> None:
        """Begin the state that the table has led to."""
        self.timers, self._since, self._page = {"swap": now + SWAP_TIME}, now, 0
        self._message, self._readable_at = (), None
        self._done = self._held = self._judged = False
        self._stress = None
        if self.state not in (State.NOTING, State.ZONE):
            self._high, self._dimmed = not self._high, False
        self._set_timers(now)

    def _set_timers(self, now: float) -> None:
        if self.state in _TURNING:
            self.timers["turn"] = now + TURN_TIME
        if self.state is State.ASKED:
            self._stress = Stress(self._step.seconds, 10, self.fmt, now)
            self._stress.timers.clear()
        if self.state is State.STEP:
            self.timers["words over"] = now + self._words_time
        if self.state in (State.STEP, State.NOTING) and self._step.rest is not None and not self._dimmed:
            self.timers["rest over"] = now + self._step.rest

    def _set_time(self, now: float) -> None:
        """The step's own seconds, once its picture is up."""
        if not self._step.seconds or self._done or self._held or any(name.startswith("time") for name in self.timers):
            return
        name = f"time over to {self._sort(self._place + 1)}" if self._step.goes_on else "time up"
        self.timers[name] = now + self._left

    def _drop_times(self) -> None:
        self.timers = {name: at for name, at in self.timers.items() if not name.startswith("time")}

    def _keep_left(self, now: float) -> None:
        """What is left of the step's seconds, a little at least."""
        ends = [at for name, at in self.timers.items() if name.startswith("time")]
        if ends:
            self._left = max(ends[0] - now, LEAST_LEFT)

    def _follow(self, now: float) -> None:
        """What the white stress has come to."""
        match self._stress.state if self._stress else None:
            case Stressing.ARMED if self.state is State.ASKED:
                self.cue("loaded", now)
            case Stressing.PURITY:
                self.cue(f"time over to {self._sort(self._place + 1)}", now)
            case Stressing.BLACKING | Stressing.BLACK:
                self.cue("went black", now)

    def _next(self) -> int:
        self._serial += 1
        return self._serial

    def _emit(self, record: Record) -> None:
        self._ledger.add(record)

    def _mark(self, state: str, now: float) -> None:
        place = self._place + 1
        if place and self._marks.get(place) not in (state, "looked"):
            self._marks[place] = state
            self._emit(Marked(self._next(), now, place, state))

    def _note(self, kind: str, now: float, severity: int = 0) -> Noted:
        title = self.guide.kinds[kind].name
        zone, severity = (None, severity) if severity else (self._zone, self._severity)
        note = Noted(self._next(), now, self._step.key, kind, severity, zone, title)
        self._notes[note.number] = note
        self._titles[note.number] = title
        self._emit(note)
        return note

    def _title(self, record: Record) -> str:
        number = record.note if isinstance(record, TakenBack) else record.number
        return self._titles.get(number, "")

    def _tell(self, words: tuple[str, ...], now: float) -> None:
        self._message = words
        self.timers["message over"] = now + MESSAGE_TIME

    def _choose_path(self, by: int, now: float) -> None:
        self.path = _after(tuple(PATHS), self.path, by)
        self._show_page(0, now)

    def _choose_danger(self, by: int, now: float) -> None:
        self._danger_choice = (self._danger_choice + by) % len(self.guide.dangers)
        self._show_page(len(DANGER_PAGES), now)

    def _show_page(self, page: int, now: float) -> None:
        self._page, self._message = page, ()
        if "turn" in self.timers:
            self.timers["turn"] = now + 2 * TURN_TIME

    def _current_page(self) -> Page | None:
        pages = self._pages()
        if self.state in _TURNING:
            return pages[self._page % len(pages)]
        return pages[self._page] if self._page < len(pages) else None

    def _pages(self) -> tuple[Page, ...]:  # noqa: PLR0911 - one for each state that speaks
        match self.state:
            case State.CARD:
                return card_pages(self.path, self.warmth)
            case State.CUT:
                place = f"{self._resume_at() + 1} of {len(self.guide.route.steps)}"
                return ((f"Visit {self.number} cut at {place}", "go: on · hold note: end it"),)
            case State.STEP:
                return self._step.pages
            case State.READY:
                return ready_pages(self._step)
            case State.ASKED:
                return load_pages(self._step)
            case State.NOTING:
                kind = self.guide.kinds[self._offered[self._choice]]
                return (note_page(kind.name, self._severity, self._zone),)
            case State.ZONE:
                return ((f"Where: {zone_words(self._zone)}", "forward, back · go: keep"),)
            case State.DANGER:
                name = self.guide.kinds[self.guide.dangers[self._danger_choice]].name
                return (*DANGER_PAGES, (name, "forward: other · go notes it"))
            case State.ENDING:
                seen = f"{len(self.outcome.looked)} of {len(self.guide.route.steps)}"
                return ((f"End here? {seen} looked at", "go: end · another key: no"),)
            case State.END:
                return self._end_pages()
        return ()

    def _end_pages(self) -> tuple[Page, ...]:
        if self._judged and (pages := self._judge(self.outcome)):
            return (*pages, LAST_PAGE_JUDGED)
        return end_pages(self.outcome, danger=self._danger, open_records=self._ledger.open)


def _after(words: Iterable[str], word: str, by: int) -> str:
    """The word so many places after ``word``, round and round."""
    all_words = tuple(words)
    return all_words[(all_words.index(word) + by) % len(all_words)]
