"""Viewing: a set is led along a route, and what is found is noted by a few presses and kept.

Rules: ``go`` is "fine here" and leads on, ``note`` opens the kinds of fault, ``vary`` held is danger from everywhere,
``note`` held takes the last note back. Nothing goes on by itself unless the step says so, and then only while its
picture is up. A load is the white stress with all its rules; what moves shows its caution first. A note is told as
kept only when the store has said that it is.
"""

from collections.abc import Mapping, Sequence
from typing import ClassVar

from appliance.activities.showing import Showing
from appliance.activities.stress import State as Stressing
from appliance.activities.stress import Stress
from appliance.activities.table import Table
from appliance.activities.viewing_card import Opening
from appliance.activities.viewing_ending import SWAP_TIME
from appliance.activities.viewing_noting import TURN_TIME, Careful
from appliance.activities.viewing_plan import PATHS, WARMTHS, Guide, Page, Sort
from appliance.activities.viewing_record import Noted
from appliance.activities.viewing_showing import Facts, showing
from appliance.activities.viewing_table import CARD, END, HERE_IN_DANGER, TABLE, State
from appliance.activities.viewing_words import DANGER_PAGES, Judge, Said, Tally, pages
from appliance.presses.edges import GO, VARY
from appliance.presses.press import Kind, Press
from appliance.video.formats import Format

__all__ = ["State", "Viewing"]

ASK_TIME = 20
"""Seconds: a question about the end."""
READ_TIME, SETTLE_TIME = 0.4, 0.5
"""Seconds, as in the white stress: a caution, or a step, up before ``go`` counts; black in which a second finger means
nothing."""
LEAST_LEFT = 5
"""Seconds that a step which goes on by itself still stands after it was held up."""

_LEADS_ON = {State.STEP: ("go", "forward"), State.CARD: ("go",)}
_AT_STEP = frozenset({State.STEP, State.READY, State.ASKED, State.BLACK})
_TURNING = frozenset({State.CARD, State.READY, State.ASKED, State.DANGER})
_SEEN = frozenset({State.STEP, State.READY})
_CAUTIOUS = frozenset({State.READY, State.ASKED})
_STANDING = frozenset({State.STEP, State.READY, State.NOTING})
_TIMED = frozenset({State.STEP, State.MOVING, State.FLASHING})


def _silent(outcome: object) -> tuple[()]:  # noqa: ARG001 - as a judge is, and a tally
    return ()


class Viewing(Opening):
    """Visit ``number`` along ``guide.route`` in the format ``fmt``; ``judge`` says what was found means, ``tally``
    gives the texts of the codes at the end.

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
        judge: Judge = _silent,
        tally: Tally = _silent,
        words_time: float = 4,
        notebook: Careful | None = None,
    ) -> None:
        super().__init__(guide, number, State.CARD, notebook or Careful(guide), now, judge=judge, tally=tally)
        self.fmt, self._words_time = fmt, words_time
        self._stress: Stress | None = None
        self._variant, self._left, self._dimmed = 0, 0.0, ""
        self._done = self._held = False
        self._readable_at: float | None = None
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
        judge: Judge = _silent,
        tally: Tally = _silent,
        words_time: float = 4,
        last: int = 0,
        noted: int = 0,
        left: bool = True,
    ) -> "Viewing":
        """A visit that was cut short, as the store has it: it is offered, from the last step that was marked on.

        ``notes``: those that count. ``marks``: by place from 1. ``last``: the highest number of any note, of those
        taken back, too; ``noted``: how many there were. ``left``: whether the last step marked was left; one that was
        not comes again. One of which no step was left begins at its card. A visit in which danger was noted is there
        again at once.
        """
        notebook = Careful(guide, notes, marks, last, noted)
        viewing = cls(guide, number, fmt, now, judge=judge, tally=tally, words_time=words_time, notebook=notebook)
        viewing.path = path if path in PATHS else viewing.path
        viewing.warmth = warmth if warmth in WARMTHS else viewing.warmth
        behind = max(marks, default=0) - (not left)
        viewing._stand_at(min(behind, len(guide.route.steps) - 1) if behind > 0 else -1)
        viewing.state = State.DANGER if notebook.dangers else State.CUT
        viewing._land(now)
        return viewing

    # What goes in

    def press(self, press: Press) -> bool:
        """Take a press; True when the keys now down must have no further meaning.

        ``vary`` alone keeps its held meaning while a load goes black, or a code comes back: it is the key for danger.
        """
        self._digit = press.key
        if self._stress and self.state is State.ASKED and press.key == GO and press.kind is Kind.SHORT:
            if self._message:
                self.drop_message(press.at)
            else:
                self._stress.press(press)
                self._follow(press.at)
            return False
        wakes = self.state is State.SPARED
        taken = super().press(press)
        spent = wakes or self.state is State.BLACKING
        return taken and press.kind is Kind.TOUCH and spent and press.key != VARY

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
        self._notebook.ledger.retry(now)

    def due(self) -> float | None:
        """When :meth:`tick` next has something to do."""
        dues = [super().due(), self._stress.due() if self._stress else None, self._notebook.ledger.retry_at]
        return min((due for due in dues if due is not None), default=None)

    def shown(self, pattern: str, stamp: float) -> None:
        """A picture of ``pattern`` went up at ``stamp``: what is timed begins there."""
        if self._message and self.state in _CAUTIOUS:
            return
        if self._stress is not None:
            self._stress.shown(pattern, stamp)
            self._follow(stamp)
        elif self.state in _SEEN and self._readable_at is None and pattern == self._step.pattern:
            self._readable_at = stamp + READ_TIME
        if self.state in _TIMED and pattern == self._step.pattern:
            self._set_time(stamp)

    def screen_lost(self, now: float) -> None:
        """No picture is up any more: nothing goes on by itself."""
        if self._stress is not None:
            self._stress.cue("screen lost", now)
            self._follow(now)
        self.cue("screen lost", now)

    def change_format(self, fmt: Format, now: float) -> None:
        """Another format is on the lead: what is counted goes by it."""
        self.fmt = fmt
        if self.state is State.ASKED:
            self._land(now)

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

    def showing(self) -> Showing:
        """Picture, words and lamps now."""
        if self._stress is not None and self.state is State.LOAD:
            return self._stress.showing()
        return showing(
            Facts(
                State(self.state), self.number, self._step if self._place >= 0 else None,
                self._dimmed or self._step.variants[self._variant], self._current_page(), self._message, self._high,
                bool(self._times()), self._done, self._since, self._code(),
            )
        )  # fmt: skip

    # Moves: along the route

    def start(self, now: float) -> None:
        """The first step; how the signal comes is kept."""
        self._notebook.describe(self.path, self.warmth, now)
        self._go_to(self._place + 1, now)

    def find_fine(self, now: float) -> None:
        """Nothing here, or nothing more: the next step."""
        self._mark("looked", now)
        self._go_to(self._place + 1, now)

    def go_on(self, now: float) -> None:
        """The step's time is over."""
        self.find_fine(now)

    def go_further(self, now: float) -> None:
        """The next step; this one was not looked at."""
        self._mark("skipped", now)
        self._go_to(self._place + 1, now)

    def go_back(self, now: float) -> None:
        """The step before."""
        self._go_to(self._place - 1, now)

    def return_here(self, now: float) -> None:
        """The step again where a question was asked, or black."""
        self._land(now)

    def take_up(self, now: float) -> None:
        """On with a visit that was cut short."""
        self._go_to(self._place, now)

    def arrive_at_end(self, now: float) -> None:
        """The summary."""
        self._land(now)

    def ask_end(self, now: float) -> None:
        """Really?"""
        self._keep_left(now)
        self._land(now)
        self.timers[f"given up to {self._sort(self._place)}"] = now + ASK_TIME

    def leave(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """Not now; it is offered again at the next start."""
        self.timers.clear()

    def finish(self, now: float) -> None:
        """The visit is over."""
        self._notebook.end(now)
        self.timers.clear()

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
        for name in self._times():
            del self.timers[name]

    def be_done(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """It was looked at for long enough."""
        self._done = True

    def dim(self, now: float) -> None:
        """The tube is spared; what is shown instead may be spared again."""
        self._dimmed = self._step.sparing[self._dimmed or self._step.variants[self._variant]].by
        self._spare(self._dimmed, now)

    def go_black(self, now: float) -> None:
        """Black at once."""
        self._land(now)
        self.timers = {"settled": now + SETTLE_TIME}

    def begin_note(self, now: float) -> None:
        """Which kind? What is left of the step's time waits."""
        self._keep_left(now)
        super().begin_note(now)

    # Moves: words

    def drop_message(self, now: float) -> None:
        """It was told; a caution beneath it is to be read yet."""
        super().drop_message(now)
        self._hide_caution(now)

    def next_words(self, now: float) -> None:
        """The step's next screen of words, or none."""
        self._page += 1
        if self._page < len(self._step.pages):
            self.timers["words over"] = now + self._words_time

    def turn_page(self, now: float) -> None:
        """The next page of those that take turns."""
        self._page += 1
        self.timers["turn"] = now + TURN_TIME

    # What they have in common

    def _told_apart(self, cue: str, now: float) -> str:  # noqa: PLR0911 - one for each state that does
        match self.state:
            case State.STEP if cue == "vary" and self._step.sort is Sort.MOVING:
                return "vary moving"
            case State.STEP if cue == "go" and self._unseen(now) and not self._held:
                return "go unread"
            case State.READY if cue == "go":
                return self._ready_cue(now)
            case State.NOTING if cue in ("go", "go held") and self._choice.is_door:
                return "go more"
            case State.NOTING | State.ZONE if cue == "go" and self._notebook.ends(
                self._choice.kind, self._choice.severity
            ):
                return "go danger"
            case State.ZONE if cue == "digit" and self._digit == "0":
                return "note"
            case State.DANGER if cue == "note held" and self._notebook.dangers <= 1:
                return f"note held to {self._sort(self._place)}"
            case State.DANGER if cue in ("go", "forward", "back") and self._page % len(pages(self._said())) != len(
                DANGER_PAGES
            ):
                return "go unread"
            case State.END if cue == "go" and self._page >= len(self._end_pages()) - 1:
                return "go last"
            case State.END if cue == "note" and not self._tally(self.outcome):
                return "no code"
            case State.END if cue == "back" and self._page == 0:
                return f"back to {HERE_IN_DANGER if self._notebook.dangers else self._sort(self._place)}"
        return cue

    def _ready_cue(self, now: float) -> str:
        if self._unseen(now):
            return "go unread"
        return "go flashing" if self._step.flashing else "go"

    def _unseen(self, now: float) -> bool:
        """Whether the picture of the step, or its caution, has not been up for as long as one needs to see it."""
        return self._readable_at is None or now < self._readable_at

    def _aim(self, cue: str) -> str:
        """The sort of what ``cue`` leads to in this state."""
        if self.state in _AT_STEP and cue == "back":
            return self._sort(self._place - 1)
        leads_on = cue in _LEADS_ON.get(State(self.state), ()) or (self.state in _AT_STEP and cue == "forward")
        return self._sort(self._place + (1 if leads_on else 0))

    def _sort(self, place: int) -> str:
        steps = self.guide.route.steps
        return CARD if place < 0 else END if place >= len(steps) else steps[place].sort

    def _go_to(self, place: int, now: float) -> None:
        """Another step; in front of the card and behind the last step the place stays."""
        if -1 <= place < len(self.guide.route.steps):
            self._stand_at(place)
        self._land(now)

    def _stand_at(self, place: int) -> None:
        """A step from its beginning on."""
        self._place, self._variant = place, 0
        self._left = float(self._step.seconds)

    def _land(self, now: float) -> None:
        """Begin the state that the table has led to."""
        self.timers, self._since, self._page = {"swap": now + SWAP_TIME}, now, 0
        self._message, self._stress, self._readable_at = (), None, None
        self._done = self._held = self._judged = False
        self._dimmed = ""
        self._high = not self._high
        if self.state in _TURNING:
            self.timers["turn"] = now + TURN_TIME
        self._hide_caution(now)
        if self.state is State.STEP:
            self.timers["words over"] = now + self._words_time
        if self.state in _STANDING:
            self._spare(self._step.variants[self._variant], now)

    def _tell(self, words: tuple[str, ...], now: float) -> None:
        super()._tell(words, now)
        self._hide_caution(now)

    def _hide_caution(self, now: float) -> None:
        """What moves or loads waits until its caution was up, with nothing told over it."""
        if self.state in _CAUTIOUS:
            self._readable_at = None
        if self.state is State.ASKED:
            self._stress = Stress(max(self._step.seconds, 1), 10, self.fmt, now)
            self._stress.timers.clear()

    def _spare(self, variant: str, now: float) -> None:
        """For as long as a variant may stand still."""
        if sparing := self._step.sparing.get(variant):
            self.timers["rest over"] = now + sparing.after

    def _set_time(self, now: float) -> None:
        """The step's own seconds, once its picture is up."""
        if self._step.seconds and not (self._done or self._held or self._times()):
            name = f"time over to {self._sort(self._place + 1)}" if self._step.goes_on else "time up"
            self.timers[name] = now + self._left

    def _times(self) -> list[str]:
        """The timers of the step's own seconds."""
        return [name for name in self.timers if name.startswith("time")]

    def _keep_left(self, now: float) -> None:
        """What is left of the step's seconds, a little at least."""
        for name in self._times():
            self._left = max(self.timers[name] - now, LEAST_LEFT)

    def _follow(self, now: float) -> None:
        """What the white stress has come to."""
        match self._stress.state if self._stress else None:
            case Stressing.ARMED if self.state is State.ASKED:
                self.cue("loaded", now)
            case Stressing.PURITY:
                self.cue(f"time over to {self._sort(self._place + 1)}", now)
            case Stressing.BLACKING | Stressing.BLACK:
                self.cue("went black", now)

    def _current_page(self) -> Page | None:
        if self.state is State.END:
            return self._end_pages()[self._end_page]
        said = pages(self._said())
        if self.state in _TURNING or self.state is State.SPARED:
            return said[self._page % len(said)]
        return said[self._page] if self._page < len(said) else None

    def _said(self) -> Said:
        kind, danger = self._choice.kind, self.guide.kinds[self._dangers.kind].name
        name = kind if self._choice.is_door else self.guide.kinds[kind].name
        return Said(
            State(self.state), self.outcome, self._step, name, self._choice.severity, self._choice.zone, danger,
            self._place + 1, self._notebook.is_set_off,
        )  # fmt: skip
