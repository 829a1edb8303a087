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
from appliance.activities.soak_event import SoakEvent
from appliance.activities.soak_look import offered_at
from appliance.activities.soak_menus import SoakMenus
from appliance.activities.soak_plan import Soak, clock
from appliance.activities.soak_run import PAGE_TIME
from appliance.activities.soak_showing import Facts, showing
from appliance.activities.soak_table import TABLE, WAITS, State
from appliance.activities.soak_words import MINUTE, OBSERVATIONS, STOPPING, Cause, complete, pages
from appliance.activities.table import Table
from appliance.presses.press import Kind, Press

__all__ = ["SoakEvent", "Soaking", "State"]


class Soaking(SoakMenus):
    """One run of a soak; see :class:`SoakRun` for what it is made with."""

    table: ClassVar[Table] = TABLE

    @classmethod
    def resumed(
        cls,
        soak: Soak,
        elapsed: float,
        field_rate: Fraction,
        now: float,
        *,
        words_time: float = 4,
        cause: Cause = Cause.POWER_CUT,
        left_out: int = 0,
    ) -> "Soaking":
        """A soak that was cut at ``elapsed`` of its seconds: it waits for a held ``go``, or goes on, dim first.

        One cut in a rest has the remainder of it first. ``left_out``: seconds of it that were skipped before.
        """
        soaking = cls(soak, field_rate, now, words_time=words_time)
        soaking._cause, soaking._left_out = cause, left_out
        soaking._take_place(elapsed)
        goes_on = "was cut, rests on" if soaking.phase.rest else "was cut, goes on"
        soaking.cue(goes_on if soak.resume else "was cut", now)
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
            case State.CUT if cue == "go held" and self.phase.rest:
                return "go held, set off"
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

    def note(self, kind: str, words: str, now: float) -> None:
        """Something from outside for the log, once it has begun and while it is not over."""
        if self.state not in (State.CAUTION, State.DONE, State.OVER):
            self._tell(kind, now, words)

    # What comes out

    @property
    def over(self) -> bool:
        """True when there is nothing more to do here."""
        return self.state is State.OVER

    @property
    def urgent(self) -> bool:
        """True when black is wanted at once."""
        return self.state is State.BLACK

    def showing(self) -> Showing:
        """Picture, words and lamps now."""
        return showing(
            Facts(
                State(self.state), self.soak, self._clock.index, self._told, self._since, self._look, self._due_look,
                self._waits, self._kind, self._page, self._words, self._high, self._hot,
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
        self._tell("cut", now, f"{self._cause} at {clock(self.elapsed(now))} of {clock(self.soak.total)}")

    def go_on_after_cut(self, now: float) -> None:
        """By itself, since the soak says so."""
        self.tell_cut(now)
        self._tell("resumed", now, "by itself")
        self._warm_up(now)

    def rest_on_after_cut(self, now: float) -> None:
        """By itself, with what there is left of the rest."""
        self.tell_cut(now)
        self._tell("resumed", now, "by itself")
        self._rest(now)

    def take_up(self, now: float) -> None:
        """By a person, after a cut."""
        self._tell("resumed", now, self._cause.after)
        self._warm_up(now)

    def take_up_rest(self, now: float) -> None:
        """By a person, after a cut: what there is left of the rest."""
        self._tell("resumed", now, self._cause.after)
        self._rest(now)

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
        """The whole of the rest."""
        self._clock.skip()
        self._rest(now)

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
        """All phases have been shown, but for what was skipped of them."""
        self._clock.place(self.soak.total)
        self._enter(now)
        if left := self.soak.looks[self._next_look :]:
            self._tell("look", now, f"{', '.join(map(str, left))} min: not offered")
        self._tell("ended", now, complete(self._left_out))

    # Moves: waiting

    def pause(self, now: float) -> None:
        """Dim, by a key."""
        self._pause(now, "by a key")

    def go_black(self, now: float) -> None:
        """Black at once."""
        self._pause(now, "black by a key")

    def lose(self, now: float) -> None:
        """Nothing is on the screen any more."""
        self._break_off(now, "screen lost")

    def cool(self, now: float) -> None:
        """The box is too hot: dim until somebody goes on."""
        self._break_off(now, "the box was too hot")
        self._hot = True

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

    # What they have in common

    def _break_off(self, now: float, words: str) -> None:
        if self._look:
            self._tell_look(now)
        self._pause(now, words)

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

    def _take_place(self, elapsed: float) -> None:
        self._clock.place(elapsed)
        self._next_look = sum(offered_at(look) <= elapsed for look in self.soak.looks)

    def _turn_page(self, step: int, now: float) -> None:
        count = len(pages(self.soak))
        self._page = (self._page + step) % count
        self._pages_seen = self._pages_seen or self._page == count - 1
        self._turn_words(now)
        self.timers["next page"] = now + PAGE_TIME
