"""Soaking: a plan shown phase by phase, with somebody in reach.

Rules: the cautions come first and a held ``go`` starts, dim. The soak's time runs only while its own pictures, or a
rest, are up: it stands while the box asks something, waits or is paused. While a bright phase is up any key makes it
black at once. Nobody pressing a key for long makes it dim, and it calls. After a power cut it waits for a held ``go``
unless the soak says otherwise; after the screen was lost it always waits.

A phase begins with the field in which its picture was first scanned, by the screen's own stamp, and lasts the exact
number of fields that the plan gives it. Once a minute it says how far it is; a moving picture stands still meanwhile,
and its time runs on.
"""

from fractions import Fraction
from typing import ClassVar

from appliance.activities.showing import Showing
from appliance.activities.soak_clock import LATE, SoakClock
from appliance.activities.soak_event import SoakEvent
from appliance.activities.soak_look import Look, offered_at
from appliance.activities.soak_plan import Phase, Soak, clock
from appliance.activities.soak_showing import Facts, showing
from appliance.activities.soak_table import TABLE, WAITS, State
from appliance.activities.soak_words import MINUTE, OBSERVATIONS, STOPPING, pages
from appliance.activities.table import Machine, Table
from appliance.presses.press import Kind, Press

__all__ = ["SoakEvent", "Soaking", "State"]

DIM_TIME, PAGE_TIME, CAUTION_TIME = 30, 5, 120
"""Seconds: dim before any load on a set that may be cold; a page of the cautions; until nobody has started it."""
OFFER_TIME, NOTE_TIME, ASK_TIME, ITEM_TIME = 15, 20, 20, 45
"""Seconds without a key until a look's offer, an observation, the question about the end, a look are given up."""

_SILENT = frozenset({State.RUNNING, State.BLACK, State.LOOKING})
"""Where no words of the soak's own begin to stand."""


class Soaking(Machine):
    """One run of ``soak`` at ``field_rate`` Hz; ``words_time``: seconds the progress stands each minute.

    ``events``: what happened since they were last taken by :meth:`drain`; ``last_key``: when a key was last pressed.
    """

    table: ClassVar[Table] = TABLE

    def __init__(self, soak: Soak, field_rate: Fraction, now: float, *, words_time: float = 4) -> None:
        super().__init__(State.CAUTION)
        self.soak, self.last_key = soak, now
        self.events: list[SoakEvent] = []
        self._clock, self._words_time = SoakClock(soak, field_rate), words_time
        self._words = self._high = self._waits = self._pages_seen = False
        self._look: Look | None = None
        self._due_look: int | None = None
        self._margins: dict[str, int] = {}
        self._next_look = self._page = self._kind = 0
        self._told, self._since, self._cold = 0.0, now, True
        self.timers = {"next page": now + PAGE_TIME, "caution over": now + CAUTION_TIME}

    @classmethod
    def resumed(
        cls, soak: Soak, elapsed: float, field_rate: Fraction, now: float, *, words_time: float = 4
    ) -> "Soaking":
        """A soak whose power was cut at ``elapsed`` of its seconds: it waits for a held ``go``, or goes on, dim first.

        One cut in a rest goes on behind it.
        """
        soaking = cls(soak, field_rate, now, words_time=words_time)
        soaking._take_place(elapsed)
        soaking.cue("was cut, goes on" if soak.resume else "was cut", now)
        return soaking

    # What goes in

    def press(self, press: Press) -> bool:
        """Take a press; every one, even without a meaning here, tells that somebody is there."""
        self.last_key = press.at
        if "absent" in self.timers:
            self._expect_somebody()
        return super().press(press)

    def meaning(self, press: Press) -> str:  # noqa: PLR0911 - one for each state that tells them apart
        """As the machine's, told apart by what the soak is at; a key still held steps in menus alone."""
        cue = super().meaning(press)
        if press.kind is Kind.REPEAT and self.state not in (State.LOOKING, State.NOTING):
            return f"{cue} again"
        match self.state:
            case State.RUNNING:
                return self._running_meaning(cue)
            case State.CAUTION if cue == "go held" and not self._pages_seen:
                return "go held too soon"
            case State.PAUSED if cue == "go" and self._cold:
                return "go cold"
            case State.LOOKING if self._look and self._look.last and cue in ("go", "vary"):
                return f"{cue} last"
            case State.NOTING | State.ENDING:
                return cue + WAITS if self._leads_to_waiting(cue) else cue
        return cue

    def shown(self, pattern: str, stamp: float) -> None:
        """A picture of ``pattern`` went up at ``stamp``: the phase it belongs to counts from there."""
        if self._clock.up(pattern, stamp):
            self.timers.pop("never up", None)
            if self.state is State.RUNNING:
                self._set_timers()

    def screen_lost(self, now: float) -> None:
        """No picture is up any more."""
        self.cue("screen lost", now)

    # What comes out

    @property
    def over(self) -> bool:
        """True when there is nothing more to do here."""
        return self.state is State.OVER

    @property
    def urgent(self) -> bool:
        """True when black is wanted at once."""
        return self.state is State.BLACK

    @property
    def phase(self) -> Phase:
        """The phase it is at."""
        return self._clock.phase

    def elapsed(self, now: float) -> float:
        """Seconds of the soak's own time."""
        return self._clock.elapsed(now)

    def drain(self) -> list[SoakEvent]:
        """The events since the last time, which are then forgotten here."""
        events, self.events = self.events, []
        return events

    def showing(self) -> Showing:
        """Picture, words and lamps now."""
        return showing(
            Facts(
                State(self.state), self.soak, self._clock.index, self._told, self._since, self._look, self._due_look,
                self._waits, self._kind, self._page, self._words, self._high,
            )
        )  # fmt: skip

    # Moves: the beginning

    def next_page(self, now: float) -> None:
        """The next screen of the cautions, the first after the last."""
        self._turn_page(1, now)

    def page_before(self, now: float) -> None:
        """The screen of the cautions before."""
        self._turn_page(-1, now)

    def start(self, now: float) -> None:
        """Dim, for a set that may be cold."""
        self._tell("started", now, self.soak.title)
        self._warm_up(now)

    def tell_cut(self, now: float) -> None:
        """Dim, with when it was cut."""
        self._enter(now)
        self._tell("cut", now, f"power cut at {clock(self.elapsed(now))} of {clock(self.soak.total)}")

    def go_on_after_cut(self, now: float) -> None:
        """By itself, since the soak says so."""
        self.tell_cut(now)
        self._tell("resumed", now, "by itself")
        self._warm_up(now)

    def take_up(self, now: float) -> None:
        """By a person, after a cut."""
        self._tell("resumed", now, "after the power cut")
        self._warm_up(now)

    def switch_on(self, now: float) -> None:
        """The set is on again."""
        self._tell("resumed", now, "set on, from cold")
        self._warm_up(now)

    def begin(self, now: float) -> None:
        """The phase's own picture."""
        self._cold = False
        self._tell("phase", now, self.phase.words)
        self.run(now)

    # Moves: running

    def run(self, now: float) -> None:
        """On with the phase from where it stood."""
        self._enter(now)
        self._clock.run(now)
        self.timers["never up"] = now + LATE
        self._expect_somebody()
        self._set_timers()

    def next_phase(self, now: float) -> None:
        """The next phase, from the field on in which its picture will come up."""
        self._clock.go_on(now)
        self._tell("phase", now, self.phase.words)
        self._set_timers()

    def skip(self, now: float) -> None:
        """The next phase at once."""
        self._tell_skipped(now)
        self._clock.skip()
        self._tell("phase", now, self.phase.words)
        self.run(now)

    def skip_to_rest(self, now: float) -> None:
        """The rest at once."""
        self._tell_skipped(now)
        self.begin_rest(now)

    def skip_to_end(self, now: float) -> None:
        """The end at once."""
        self._tell_skipped(now)
        self.finish(now)

    def tell(self, now: float) -> None:
        """The progress, in another place than the last time."""
        self.beat(now)
        self._words = True
        self.timers["words over"] = now + self._words_time

    def hush(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """No words over the picture."""
        self._words = False

    def beat(self, now: float) -> None:
        """Still alive; words that stand change their place."""
        self.timers["minute"] = now + MINUTE
        self._turn_words(now)
        self._tell("heartbeat", now)

    def begin_rest(self, now: float) -> None:
        """The set is to be switched off; the rest's time runs at once."""
        self._clock.skip()
        self._clock.run(now)
        self._enter(now)
        self._cold = True
        self.timers["rest over"] = now + self.phase.seconds
        self._tell("phase", now, self.phase.words)

    def end_rest(self, now: float) -> None:
        """Black until somebody says that the set is on again."""
        self._clock.skip()
        self._enter(now)
        self._tell("paused", now, "rest over, set to be switched on")

    def cut_rest_short(self, now: float) -> None:
        """No more rest."""
        self._tell_skipped(now)
        self.end_rest(now)

    def finish(self, now: float) -> None:
        """All phases have been shown."""
        self._clock.place(self.soak.total)
        self._enter(now)
        if left := self.soak.looks[self._next_look :]:
            self._tell("look", now, f"{', '.join(map(str, left))} min: not offered")
        self._tell("ended", now, "complete")

    # Moves: waiting

    def pause(self, now: float) -> None:
        """Dim, by a key."""
        self._pause(now, "by a key")

    def go_black(self, now: float) -> None:
        """Black at once."""
        self._pause(now, "black by a key")

    def lose(self, now: float) -> None:
        """Nothing is on the screen any more."""
        if self._look:
            self._tell_look(now)
        self._pause(now, "screen lost")

    def give_up(self, now: float) -> None:
        """The picture asked for has not come up."""
        self._clock.take_back()
        self._pause(now, "no picture came up")

    def wait(self, now: float) -> None:
        """Back to waiting, dim."""
        self._enter(now)

    def resume(self, now: float) -> None:
        """By a key."""
        self._tell("resumed", now, "by a key")
        self.run(now)

    def go_absent(self, now: float) -> None:
        """Nobody there: dim, and call."""
        self._clock.stop(now)
        self._enter(now)
        self._tell("absent", now, f"no key for {self.soak.presence_minutes} min")

    def come_back(self, now: float) -> None:
        """Somebody there again."""
        self._tell("back", now, f"after {clock(now - self._since)} dim")
        self.run(now)

    # Moves: looks

    def offer(self, now: float) -> None:
        """A look, for a few seconds. One passed over while none could be offered is told."""
        self._clock.stop(now)
        due = [look for look in self.soak.looks[self._next_look :] if offered_at(look) <= self.elapsed(now) + 0.1]
        for look in due[:-1]:
            self._tell("look", now, f"{look} min: not offered")
        self._due_look = due[-1] if due else self.soak.looks[self._next_look]
        self._next_look += max(len(due), 1)
        self._enter(now, offer_over=now + OFFER_TIME)

    def miss_look(self, now: float) -> None:
        """Not taken now; ``vary`` takes it later."""
        self._tell("look", now, f"{self._due_look} min: offered, not taken")
        self.run(now)

    def begin_look(self, now: float) -> None:
        """The first thing to look at."""
        self._clock.stop(now)
        minute = int(self.elapsed(now)) // MINUTE if self._due_look is None else self._due_look
        self._look, self._due_look = Look(minute, self._margins), None
        self._enter(now, look_over=now + ITEM_TIME)

    def more(self, now: float) -> None:
        """The next answer."""
        self._answer(1, now)

    def less(self, now: float) -> None:
        """The answer before."""
        self._answer(-1, now)

    def keep_item(self, now: float) -> None:
        """This answer, and the next thing."""
        self._looking().keep()
        self.skip_item(now)

    def skip_item(self, now: float) -> None:
        """The next thing."""
        self._looking().go_on()
        self.timers["look over"] = now + ITEM_TIME

    def keep_last_item(self, now: float) -> None:
        """This answer, and the look is over."""
        self._looking().keep()
        self.close_look(now)

    def close_look(self, now: float) -> None:
        """What was seen goes into the log."""
        self._tell_look(now)
        self.run(now)

    # Moves: notes and the end

    def begin_note(self, now: float) -> None:
        """Which observation?"""
        self._ask(now, NOTE_TIME, waits=False)
        self._kind = 0

    def begin_note_and_wait(self, now: float) -> None:
        """As above, with the soak waiting."""
        self._ask(now, NOTE_TIME, waits=True)
        self._kind = 0

    def next_kind(self, now: float) -> None:
        """The next kind."""
        self._choose_kind(1, now)

    def kind_before(self, now: float) -> None:
        """The kind before."""
        self._choose_kind(-1, now)

    def keep_note(self, now: float) -> None:
        """Into the log, and on."""
        self._tell("observation", now, OBSERVATIONS[self._kind])
        self.run(now)

    def keep_note_and_wait(self, now: float) -> None:
        """Into the log; the soak waits."""
        self._tell("observation", now, OBSERVATIONS[self._kind])
        self._enter(now)

    def ask_end(self, now: float) -> None:
        """Really?"""
        self._ask(now, ASK_TIME, waits=False)

    def ask_end_and_wait(self, now: float) -> None:
        """As above, with the soak waiting."""
        self._ask(now, ASK_TIME, waits=True)

    def end(self, now: float) -> None:
        """By a person, before its time."""
        self._tell("ended", now, "by a key")
        self.leave(now)

    def leave(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """Nothing more to do here."""
        self.timers.clear()

    # What they have in common

    def _running_meaning(self, cue: str) -> str:
        if cue == "touch" and self.phase.bright:
            return "touch bright"
        if cue != "forward":
            return cue
        return {"phase over": "skip", "rest begins": "skip to rest", "all over": "skip to end"}[self._end_cue()]

    def _leads_to_waiting(self, cue: str) -> bool:
        if self.state is State.ENDING:
            return self._waits and cue != "go"
        stopping = cue == "go" and OBSERVATIONS[self._kind] in STOPPING
        return stopping or (self._waits and cue not in ("forward", "back"))

    def _enter(self, now: float, **timers: float) -> None:
        """A new state: ``timers`` beside the minute's, other words, lamps that begin anew."""
        beat = self.timers.get("minute", now + MINUTE)
        self.timers = {"minute": beat} | {name.replace("_", " "): at for name, at in timers.items()}
        self._words, self._since = False, now
        self._told = self.elapsed(now)
        if self.state not in _SILENT:
            self._turn_words(now)

    def _turn_words(self, now: float) -> None:
        """Words burn in like any still picture: they change between the low and the high place."""
        self._told, self._high = self.elapsed(now), not self._high

    def _tell(self, kind: str, now: float, words: str = "") -> None:
        self.events.append(SoakEvent(kind, now, self.elapsed(now), self._clock.index, words))

    def _tell_skipped(self, now: float) -> None:
        self._tell("skipped", now, f"{self.phase.words}: {self._clock.phase_end - self.elapsed(now):.0f} s left out")

    def _take_place(self, elapsed: float) -> None:
        self._clock.place(elapsed)
        self._next_look = sum(offered_at(look) <= elapsed for look in self.soak.looks)

    def _turn_page(self, step: int, now: float) -> None:
        count = len(pages(self.soak))
        self._page = (self._page + step) % count
        self._pages_seen = self._pages_seen or self._page == count - 1
        self._turn_words(now)
        self.timers["next page"] = now + PAGE_TIME

    def _warm_up(self, now: float) -> None:
        self._enter(now, warm=now + DIM_TIME)
        self._cold = True

    def _pause(self, now: float, words: str) -> None:
        self._clock.stop(now)
        self._enter(now)
        self._tell("paused", now, words)

    def _end_cue(self) -> str:
        coming = self._clock.following
        return "all over" if coming is None else "rest begins" if coming.rest else "phase over"

    def _set_timers(self) -> None:
        """When the phase is over, and when a look is due in it."""
        for name in ("phase over", "rest begins", "all over", "look due"):
            self.timers.pop(name, None)
        self.timers[self._end_cue()] = self._clock.over_at()
        coming = self.soak.looks[self._next_look :]
        if coming and not self.phase.bright and offered_at(coming[0]) < self._clock.phase_end:
            self.timers["look due"] = self._clock.at(offered_at(coming[0]))

    def _expect_somebody(self) -> None:
        if minutes := self.soak.presence_minutes:
            self.timers["absent"] = self.last_key + minutes * MINUTE

    def _looking(self) -> Look:
        assert self._look is not None
        return self._look

    def _answer(self, step: int, now: float) -> None:
        look = self._looking()
        look.step(step)
        if not look.item.bright:  # a bright one stands no longer, however many answers are tried
            self.timers["look over"] = now + ITEM_TIME

    def _tell_look(self, now: float) -> None:
        look, self._look = self._looking(), None
        self._margins, self._high = look.percents(), look.item.high
        for words in look.words():
            self._tell("look", now, f"{look.minute} min: {words}")

    def _ask(self, now: float, seconds: float, *, waits: bool) -> None:
        self._clock.stop(now)
        self._waits = waits
        self._enter(now)
        self.timers["given up" + (WAITS if waits else "")] = now + seconds

    def _choose_kind(self, step: int, now: float) -> None:
        self._kind = (self._kind + step) % len(OBSERVATIONS)
        self.timers["given up" + (WAITS if self._waits else "")] = now + NOTE_TIME
