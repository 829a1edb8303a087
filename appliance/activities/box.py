"""The box as a whole: which activity is on, format and system by keys, the way out of an unreadable screen, shutting
down, and what the lamps say.

Rules: this is the only place that knows more than one activity. A key that makes the screen black, or brings it back,
does nothing else: :meth:`Box.press` then says so, and the caller spends the keys that are down. A new format comes
back by itself unless ``go`` keeps it. Troubles stand on the attention lamp as a count until they are gone.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import ClassVar

from appliance.activities.blink import DARK, Blink, count_blink, second_blink, slow_blink
from appliance.activities.showing import BLACK, Caption, Showing, Signals
from appliance.activities.stepping import Stepping
from appliance.activities.stress import State as Stressing
from appliance.activities.stress import Stress
from appliance.activities.table import Machine, Move, Table
from appliance.activities.troubles import Trouble
from appliance.patterns.catalogue import Pattern
from appliance.presses.press import Kind, Press
from appliance.settings.tree import Choice
from appliance.video.formats import find_format


@dataclass(frozen=True)
class Place:
    """What is remembered over a power cut."""

    choice: Choice
    pattern: str
    variant: str


@dataclass(frozen=True)
class Times:
    """Seconds: of white stress, of each purity field after it, of a caption."""

    stress: int = 10
    purity: float = 10
    caption: float = 4


class State(StrEnum):
    """What the keys mean now."""

    STEPPING = "stepping"
    CARD = "card"
    STRESS = "white stress"
    CHOOSING = "choosing"
    OFFERED = "format offered"
    BLIND = "format by lamp"
    LEAVING = "shutting down"


ACTIVITIES = ("Stepping", "White stress")
OFFER_TIME = 10.0
"""Seconds a new format waits to be kept."""
BLIND_PAUSE = 0.5
"""Seconds after a whole count of the running lamp, while ``vary`` is held at power-up, before the next format."""
NO_WAY_OFF = 60.0
"""Seconds after which nobody seems to answer the wish to be switched off."""

NO_PICTURE = {Trouble.NO_CONNECTOR, Trouble.CARD}

_LEAVE = {"go+note": Move(State.LEAVING, "shut_down"), "show": Move(State.STEPPING, "drop_all")}
_CANCEL = Move(State.STEPPING, "cancel")


class Box(Machine):
    """All activities together. ``choices`` are stepped by the keys; ``place`` is where the box was left."""

    table: ClassVar[Table] = {
        State.STEPPING: {
            **_LEAVE,
            "go timed": Move(State.STRESS, "start_stress"),
            "go held": Move(State.CHOOSING, "choose"),
            "go+vary": Move(State.OFFERED, "offer_next"),
            "vary at power-up": Move(State.BLIND, "begin_blind"),
            "card": Move(State.CARD, "show_card"),
            "refused": Move(State.STEPPING, "try_next"),
        },
        State.CARD: {
            **_LEAVE,
            "touch": Move(State.STEPPING, "drop_card"),
            "refused": Move(State.CARD, "try_next"),
            "vary at power-up": Move(State.BLIND, "begin_blind"),
        },
        State.STRESS: {
            **_LEAVE,
            "stress over": Move(State.STEPPING, "end_stress"),
            "go+vary": Move(State.OFFERED, "offer_after_stress"),
        },
        State.CHOOSING: {
            **_LEAVE,
            "forward": Move(State.CHOOSING, "next_activity"),
            "back": Move(State.CHOOSING, "previous_activity"),
            "go on Stepping": _CANCEL,
            "go on White stress": Move(State.STRESS, "start_stress"),
            "note": _CANCEL,
            "choice over": _CANCEL,
        },
        State.OFFERED: {
            **_LEAVE,
            "forward": Move(State.OFFERED, "offer_next"),
            "go+vary": Move(State.OFFERED, "offer_next"),
            "back": Move(State.OFFERED, "offer_previous"),
            "go": Move(State.STEPPING, "keep"),
            "note": Move(State.STEPPING, "take_back"),
            "offer over": Move(State.STEPPING, "take_back"),
            "refused": Move(State.STEPPING, "tell_refused"),
        },
        State.BLIND: {
            "next format": Move(State.BLIND, "blind_next"),
            "show": Move(State.STEPPING, "drop_all"),
            "refused": Move(State.BLIND, "blind_next"),
            "vary up": Move(State.STEPPING, "keep"),
            "give up": Move(State.STEPPING, "take_back"),
        },
        State.LEAVING: {"no way off": Move(State.STEPPING, "stay"), "show": Move(State.STEPPING, "drop_all")},
    }

    def __init__(
        self, patterns: Sequence[Pattern], choices: Sequence[Choice], times: Times, place: Place, now: float
    ) -> None:
        super().__init__(State.STEPPING)
        self.choices = tuple(choices) if place.choice in choices else (*choices, place.choice)
        self.choice = self._kept = place.choice
        self.troubles: set[Trouble] = set()
        self.log: list[str] = []
        self._times, self._patterns = times, {pattern.key: pattern for pattern in patterns}
        self._stepping = Stepping(patterns, times.caption)
        self._stress: Stress | None = None
        self._activity = 0
        self._card: tuple[str, ...] = ()
        self._since = now
        self._stepping.show(place.pattern, place.variant, now)

    # What goes in

    def press(self, press: Press) -> bool:
        """Take a press; True when the keys now down must have no further meaning."""
        if self.cue(self._refined(press), press.at):
            return press.kind is Kind.TOUCH
        if self.state is State.STRESS and self._stress is not None:
            return self._press_stress(self._stress, press)
        return self.state is State.STEPPING and self._stepping.press(press) and press.kind is Kind.TOUCH

    def begin(self, now: float, card: tuple[str, ...] = ()) -> None:
        """The keys were read for the first time. ``card``: a trouble's words, shown until a key."""
        if card:
            self._card = card
            self.cue("card", now)

    def vary_up(self, now: float) -> None:
        """The key ``vary`` was let go."""
        self.cue("vary up", now)

    def shown(self, pattern: str, stamp: float) -> None:
        """A picture of ``pattern`` went up at ``stamp``."""
        if self._stress is not None:
            counted = self._stress.counted
            self._stress.shown(pattern, stamp)
            if self._stress.counted != counted:
                self.log.append(f"white stress: {self._stress.counted} fields shown of {self._stress.fields} asked")

    def screen_lost(self, now: float) -> None:
        """No picture is up any more: what is timed is given up."""
        if self._stress is not None:
            self._stress.cue("screen lost", now)

    def tick(self, now: float) -> None:
        """Time has come to ``now``."""
        super().tick(now)
        if self._stress is not None:
            self._stress.tick(now)
            self._end_stress_if_over(now)
        self._stepping.tick(now)

    def due(self) -> float | None:
        """When :meth:`tick` is next wanted; None while a still picture simply stands."""
        dues = [super().due(), self._stepping.due(), self._stress.due() if self._stress else None]
        return min((due for due in dues if due is not None), default=None)

    def show(self, key: str, variant: str, now: float) -> None:
        """Go straight to a pattern, as a script does."""
        self.cue("show", now)
        self._stepping.show(key, variant, now)

    # What comes out

    @property
    def activity(self) -> str:
        """What is being done, in a word or two."""
        return self.state.value

    @property
    def loaded(self) -> bool:
        """True while a timed test runs, when nothing slow may be done in between."""
        return self._stress is not None and self._stress.state in (Stressing.ARMED, Stressing.FULL)

    @property
    def urgent(self) -> bool:
        """True when black is wanted at once: a key in a bright test, or the way out."""
        panicked = self._stress is not None and self._stress.blacked
        return panicked or self._stepping.blacked or self.state is State.LEAVING

    def place(self) -> Place:
        """What to remember: the kept format, and the pattern, dimmed if it is a bright one, since a start is dim."""
        pattern, variant = self._stepping.pattern, self._stepping.variant
        return Place(self._kept, pattern.key, pattern.dimmed if variant in pattern.bright else variant)

    def showing(self) -> Showing:
        """Picture, words and lamps now."""
        showing = self._picture()
        signals = showing.signals
        # A black that is meant is told by a slow lamp; but a screen that shows nothing at all comes first.
        if self.troubles and (signals.attention == DARK or self.troubles & NO_PICTURE):
            signals = replace(signals, attention=count_blink(min(self.troubles), 0.0))
        return replace(showing, signals=signals)

    def _picture(self) -> Showing:
        if self.state is State.STEPPING:
            return self._stepping.showing()
        if self.state is State.STRESS and self._stress is not None:
            return self._stress.showing()
        if self.state is State.LEAVING:
            return Showing(*BLACK, signals=Signals(attention=slow_blink(self._since)))
        words, running = self._overlay()
        still = replace(self._stepping.showing(), moving=False, sound="")
        return replace(still, caption=Caption(words), signals=Signals(running=running))

    def _overlay(self) -> tuple[tuple[str, ...], Blink]:
        """Words over the picture and the running lamp, in the states that ask something."""
        choice = f"{self.choice.format} {self.choice.system}"
        if self.state is State.OFFERED:
            return (f"{choice}: go keeps it", "note: the old one · 10 sec"), second_blink(self._since)
        if self.state is State.BLIND:
            number = self.choices.index(self.choice) + 1
            return (f"{number}: {choice}", "let go to keep this one"), count_blink(number, self._since)
        if self.state is State.CHOOSING:
            return (f"Choose: {ACTIVITIES[self._activity]}", "forward, back · go takes it"), DARK
        return self._card, DARK

    # Moves

    def start_stress(self, now: float) -> None:
        """The white stress, from its caution on."""
        self.timers.clear()
        self._stepping.cue("stand", now)
        self._stress = Stress(self._times.stress, self._times.purity, find_format(self.choice.format), now)

    def end_stress(self, now: float) -> None:
        """Back to stepping: at the purity field reached, or, after black or a caution refused, at a dim white."""
        stress, self._stress = self._stress, None
        assert stress is not None
        if stress.counted is None:
            self._stepping.show("white", self._patterns["white"].dimmed, now)
        else:
            self._stepping.show(*stress.lead, now, caption=False)

    def offer_after_stress(self, now: float) -> None:
        """The next format, the stress being left."""
        self.end_stress(now)
        self.offer_next(now)

    def try_next(self, now: float) -> None:
        """The format the box was to come up with is refused: the next of the list."""
        self._step_choice(1, now)
        self._kept = self.choice

    def tell_refused(self, now: float) -> None:
        """This machine cannot do the format offered: back to the one kept before."""
        refused = self.choice
        self.take_back(now)
        self._stepping.tell((f"{refused.format} {refused.system}: refused", "by the card · fieldmouse check"), now)

    def drop_all(self, now: float) -> None:  # noqa: ARG002 - as above
        """Whatever is on is left for a picture asked for from outside."""
        self.timers.clear()
        self._stress, self.choice = None, self._kept

    def choose(self, now: float) -> None:
        """The list of activities."""
        self._activity = 0
        self.timers = {"choice over": now + 20}

    def next_activity(self, now: float) -> None:
        """The next of the list."""
        self._activity = (self._activity + 1) % len(ACTIVITIES)
        self.timers = {"choice over": now + 20}

    def previous_activity(self, now: float) -> None:
        """The one before."""
        self._activity = (self._activity - 1) % len(ACTIVITIES)
        self.timers = {"choice over": now + 20}

    def cancel(self, now: float) -> None:
        """Back to stepping, where it was."""
        self.timers.clear()
        self._stepping.cue("stand", now)

    def offer_next(self, now: float) -> None:
        """The next format, for ten seconds."""
        self._offer(1, now)

    def offer_previous(self, now: float) -> None:
        """The format before, for ten seconds."""
        self._offer(-1, now)

    def keep(self, now: float) -> None:
        """The format on the lead stays."""
        self.timers.clear()
        self._kept = self.choice
        self._stepping.cue("stand", now)

    def take_back(self, now: float) -> None:
        """The format kept before comes back."""
        self.timers.clear()
        self.choice = self._kept
        self._stepping.cue("stand", now)

    def begin_blind(self, now: float) -> None:
        """The first format of the list; the lamp counts which."""
        self.choice, self._since = self.choices[0], now
        # A jammed key must not step formats for ever: after two rounds the box comes up as it was left.
        round_time = sum(_blind_time(n) for n in range(1, len(self.choices) + 1))
        self.timers = {"next format": now + _blind_time(1), "give up": now + 2 * round_time}

    def blind_next(self, now: float) -> None:
        """The next format of the list."""
        self._step_choice(1, now)
        self.timers["next format"] = now + _blind_time(self.choices.index(self.choice) + 1)

    def show_card(self, now: float) -> None:
        """The trouble's words stay until a key."""

    def drop_card(self, now: float) -> None:
        """Read; on with the pattern's own caption."""
        self._card = ()
        self._stepping.cue("stand", now)

    def shut_down(self, now: float) -> None:
        """Black, until the power goes."""
        self._since = now
        self.timers = {"no way off": now + NO_WAY_OFF}

    def stay(self, now: float) -> None:
        """Nobody is there to switch the box off: say so, and go on."""
        self._stress = None
        self._stepping.tell(("It cannot switch itself off", "pull the plug: nothing lost"), now)

    def refused(self, now: float) -> None:
        """The card refused the format wanted."""
        self.cue("refused", now)

    def _refined(self, press: Press) -> str:
        cue = self.meaning(press)
        if cue == "go" and self.state is State.CHOOSING:
            return f"go on {ACTIVITIES[self._activity]}"
        return self._stepping.meaning(press) if cue == "go" and self.state is State.STEPPING else cue

    def _press_stress(self, stress: Stress, press: Press) -> bool:
        in_purity = stress.state is Stressing.PURITY
        taken = stress.press(press)
        self._end_stress_if_over(press.at)
        if taken and in_purity and press.kind is not Kind.TOUCH:
            self._stepping.press(press)
        return taken and press.kind is Kind.TOUCH

    def _end_stress_if_over(self, now: float) -> None:
        if self._stress is not None and self._stress.state is Stressing.OVER:
            self.cue("stress over", now)

    def _offer(self, step: int, now: float) -> None:
        self._step_choice(step, now)
        self.timers = {"offer over": now + OFFER_TIME}

    def _step_choice(self, step: int, now: float) -> None:
        self.choice = self.choices[(self.choices.index(self.choice) + step) % len(self.choices)]
        self._since = now


def _blind_time(number: int) -> float:
    """Seconds for the format at a place of the list: its count, told once by the running lamp, and a pause."""
    return sum(count_blink(number, 0).times) + BLIND_PAUSE
