"""The box as a whole: which activity is on, format and system by keys, the way out of an unreadable screen, shutting
down, and what the lamps say.

Rules: this is the only place that knows more than one activity, and it knows them as :class:`Hosted` alone. A key that
makes the screen black, or brings it back, does nothing else: :meth:`Box.press` then says so, and the caller spends the
keys that are down. A new format comes back by itself unless ``go`` keeps it. Troubles stand on the attention lamp as a
count until they are gone; words about them stand on the screen once.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar

from appliance.activities.blink import DARK, Blink, count_blink, second_blink, slow_blink
from appliance.activities.box_table import TABLE, State
from appliance.activities.format_choice import FormatChoice
from appliance.activities.hosted import STEPPING, Activity
from appliance.activities.hosting import Host
from appliance.activities.kept import Record
from appliance.activities.notices import Lines, Notices
from appliance.activities.place import Place, Times
from appliance.activities.showing import BLACK, Caption, Showing, Signals
from appliance.activities.stepping import State as Step
from appliance.activities.stepping import Stepping
from appliance.activities.stress import white_stress
from appliance.activities.table import Machine, Table
from appliance.activities.troubles import Trouble
from appliance.lettering.captions import fits
from appliance.patterns.catalogue import Pattern
from appliance.patterns.registry import CAPTION_WIDTH
from appliance.presses.press import Kind, Press
from appliance.settings.tree import Choice
from appliance.video.formats import find_format

__all__ = ["Box", "Place", "State", "Times"]


OFFER_TIME = 10.0
"""Seconds a new format waits to be kept."""
PICTURE_TIME = 3.0
"""Seconds that a slow board may need to draw a picture in another format; none is counted as up after that."""
NO_WAY_OFF = 60.0
"""Seconds after which nobody seems to answer the wish to be switched off."""

_WAITING = ("What to do: one moment,", "the list is being read")

NO_PICTURE = {Trouble.NO_CONNECTOR, Trouble.CARD}


class Box(Machine):
    """All activities together. ``choices`` are stepped by the keys; ``place`` is where the box was left.

    ``activities`` is what a held ``go`` lists; more may be added at any time. While the list is not ``list_whole`` it
    waits, and ``list_wanted`` says that somebody asked for the rest, which :meth:`list_read` tells is there.
    """

    table: ClassVar[Table] = TABLE

    def __init__(
        self, patterns: Sequence[Pattern], choices: Sequence[Choice], times: Times, place: Place, now: float
    ) -> None:
        super().__init__(State.STEPPING)
        self.troubles: set[Trouble] = set()
        self.host = Host()
        stress = white_stress(times.stress, times.purity)
        self.activities: list[Activity] = [STEPPING, stress]
        self.list_whole = True
        self._formats = FormatChoice(choices, place.choice)
        self._times, self._patterns = times, {pattern.key: pattern for pattern in patterns}
        self._stepping, self._notices = Stepping(patterns, times.caption), Notices()
        self._wanted, self._number = stress, 0
        self._card: tuple[str, ...] = ()
        self._since, self._format_up = now, False
        self._stepping.show(place.pattern, place.variant, now)

    # What goes in

    def press(self, press: Press) -> bool:
        """Take a press; True when the keys now down must have no further meaning."""
        beneath = self.state is State.BENEATH
        if self.cue(self._refined(press), press.at):
            # A key that is held says something to the activity under the offer, danger above all.
            return self._press_guest(press) if beneath and press.kind is Kind.HELD else press.kind is Kind.TOUCH
        if self.state is State.HOSTING:
            return self._press_guest(press)
        return self.state is State.STEPPING and self._stepping.press(press) and press.kind is Kind.TOUCH

    def begin(self, now: float, card: tuple[str, ...] = ()) -> None:
        """The keys were read for the first time. ``card``: a trouble's words, shown until a key."""
        if card:
            self._card = card
            self.cue("card", now)

    def vary_up(self, now: float) -> None:
        """The key ``vary`` was let go."""
        self.cue("vary up", now)

    def shown(self, pattern: str, stamp: float, choice: Choice | None = None) -> None:
        """A picture of ``pattern`` went up at ``stamp``, in the format and system ``choice`` (None: the current)."""
        if self.state is State.BLIND and not self._format_up and choice in (None, self.choice):
            self._format_up = True
            self.count(stamp)
        self.host.shown(pattern, stamp)

    def screen_lost(self, now: float) -> None:
        """No picture is up any more: what is timed is given up, or waits."""
        self.host.screen_lost(now)

    def tell(self, lines: Lines, now: float) -> None:
        """Something about the box itself: on the screen once, as soon as words may stand there, and into the log."""
        words = " ".join(lines)
        self.log.append(words)
        self.host.warn(words, now)
        self._notices.tell(lines)
        self._notices.tick(now, may=self._speaks)

    def tick(self, now: float) -> None:
        """Time has come to ``now``."""
        super().tick(now)
        self.host.tick(now)
        self._end_if_over(now)
        self._stepping.tick(now)
        self._notices.tick(now, may=self._speaks)

    def due(self) -> float | None:
        """When :meth:`tick` is next wanted; None while a still picture simply stands."""
        dues = [super().due(), self._stepping.due(), self.host.due(), self._notices.due()]
        return min((due for due in dues if due is not None), default=None)

    def show(self, key: str, variant: str, now: float) -> None:
        """Go straight to a pattern, as a script does."""
        self.cue("show", now)
        self._stepping.show(key, variant, now)

    def start(self, activity: Activity, now: float) -> bool:
        """Go straight to an activity; False when the keys are busy with something of the box's own."""
        self._wanted = activity
        return self.cue("host", now)

    def list_read(self, now: float) -> None:
        """All activities there are stand in the list now; presses that came before it was there count."""
        self.list_whole = True
        if self.state is State.CHOOSING:
            self._choose(self._number, now)

    # What comes out

    @property
    def list_wanted(self) -> bool:
        """Whether a person waits for the rest of the list."""
        return self.state is State.CHOOSING and not self.list_whole

    @property
    def choice(self) -> Choice:
        """Format and system on the lead."""
        return self._formats.current

    @property
    def activity(self) -> str:
        """What is being done, in a word or two."""
        return self.host.name or self.state.value

    @property
    def log(self) -> list[str]:
        """Lines for the log, until somebody takes them away."""
        return self.host.log

    @property
    def loaded(self) -> bool:
        """True while a timed test runs, when nothing slow may be done in between."""
        return self.host.loaded

    @property
    def urgent(self) -> bool:
        """True when black is wanted at once: a key in a bright test, or the way out."""
        return self.host.urgent or self._stepping.blacked or self.state is State.LEAVING

    def place(self) -> Place:
        """What to remember: the kept format, and the pattern, dimmed if it is a bright one, since a start is dim."""
        pattern, variant = self._stepping.pattern, self._stepping.variant
        return Place(self._formats.kept, pattern.key, pattern.dimmed if variant in pattern.bright else variant)

    def drain(self) -> list[Record]:
        """What is to be kept since the last time."""
        records, self.host.records = self.host.records, []
        return records

    def showing(self) -> Showing:
        """Picture, words and lamps now."""
        showing = self._picture()
        if (notice := self._notices.caption) and self._speaks:
            showing = replace(showing, caption=notice, moving=False)
        signals = showing.signals
        # A black that is meant is told by a slow lamp; but a screen that shows nothing at all comes first.
        if self.troubles and (signals.attention == DARK or self.troubles & NO_PICTURE):
            return replace(showing, signals=replace(signals, attention=count_blink(min(self.troubles), 0.0)))
        return showing

    def _picture(self) -> Showing:
        if self.state is State.STEPPING:
            return self._stepping.showing()
        if (showing := self.host.showing()) is not None:
            return self._offering(showing) if self.state is State.BENEATH else showing
        if self.state is State.LEAVING:
            return Showing(*BLACK, signals=Signals(attention=slow_blink(self._since)))
        words, running = self._overlay()
        still = replace(self._stepping.showing(), moving=False, sound="")
        return replace(still, caption=Caption(words), signals=Signals(running=running))

    def _offering(self, showing: Showing) -> Showing:
        """The offer over the picture of an activity that goes on."""
        words, running = self._overlay()
        return replace(
            showing, moving=False, sound="", caption=Caption(words), count="", large="", code=None,
            signals=replace(showing.signals, running=running),
        )  # fmt: skip

    def _overlay(self) -> tuple[tuple[str, ...], Blink]:
        """Words over the picture and the running lamp, in the states that ask something."""
        if self.state in (State.OFFERED, State.BENEATH):
            return (f"{self._formats.words}: go keeps it", "note: the old one · 10 sec"), second_blink(self._since)
        if self.state is State.BLIND:
            number = self._formats.number
            lamp = DARK if "not up" in self.timers else count_blink(number, self._since)
            return (f"{number}: {self._formats.words}", "let go to keep this one"), lamp
        if self.list_wanted:
            return _WAITING, DARK
        if self.state is State.CHOOSING:
            title = self.activities[self._number].title
            whole = f"Choose: {title}"
            short = len(whole) <= CAPTION_WIDTH and fits([whole], find_format(self.choice.format))
            return (whole if short else title, "forward, back · go takes it"), DARK
        return self._card, DARK

    @property
    def _speaks(self) -> bool:
        """Whether words of the box's own may be laid over the picture now."""
        if self.state is State.STEPPING:
            return self._stepping.state is Step.STANDING
        return self.state is State.HOSTING and self.host.speaks

    # Moves

    def begin_wanted(self, now: float) -> None:
        """The activity wanted, from its beginning on."""
        self.timers.clear()
        self._stepping.cue("stand", now)
        self.host.begin(self._wanted, find_format(self.choice.format), now)

    def end_guest(self, now: float) -> None:
        """Back to stepping, where the activity leads."""
        left = self.host.end()
        if left.place is None:
            self._stepping.cue("stand", now)
        else:
            key, variant = left.place
            self._stepping.show(key, variant or self._patterns[key].dimmed, now, caption=left.caption)

    def offer_after(self, now: float) -> None:
        """The next format, the activity being left."""
        self.end_guest(now)
        self.offer_next(now)

    def try_next(self, now: float) -> None:
        """The format the box was to come up with is refused: the next of the list."""
        self._step_format(1, now)
        self._formats.keep()

    def tell_refused(self, now: float) -> None:
        """This machine cannot do the format offered: back to the one kept before."""
        refused = self._formats.words
        self.take_back(now)
        self._stepping.tell((f"{refused}: refused", "by the card · fieldmouse check"), now)

    def drop_all(self, now: float) -> None:
        """Whatever is on is left for a picture asked for from outside."""
        self.timers.clear()
        self.host.abandon("left for another picture", now)
        self._formats.take_back()

    def keep_beneath(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """The format on the lead stays, and the activity goes on in it."""
        self.timers.clear()
        self._formats.keep()

    def take_back_beneath(self, now: float) -> None:
        """The activity goes on in the format kept before."""
        self.timers.clear()
        self._formats.take_back()
        self.host.change_format(find_format(self.choice.format), now)

    def tell_refused_beneath(self, now: float) -> None:
        """This machine cannot do the format offered; the activity goes on."""
        refused = self._formats.words
        self.take_back_beneath(now)
        self.tell((f"{refused}: refused", "by the card"), now)

    def end_in_offer(self, now: float) -> None:
        """The activity is over while a format is offered: the one kept before comes back."""
        self.take_back_beneath(now)
        self.end_guest(now)

    def choose(self, now: float) -> None:
        """The list of activities."""
        self._choose(0, now)

    def next_activity(self, now: float) -> None:
        """The next of the list."""
        self._choose(self._number + 1, now)

    def previous_activity(self, now: float) -> None:
        """The one before."""
        self._choose(self._number - 1, now)

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
        self._formats.keep()
        self.cancel(now)

    def take_back(self, now: float) -> None:
        """The format kept before comes back."""
        self._formats.take_back()
        self.cancel(now)

    def begin_blind(self, now: float) -> None:
        """The first format of the list; the lamp counts which."""
        self._formats.first()
        # A jammed key must not step formats for ever: after two rounds the box comes up as it was left.
        slowest = self._formats.round_time() + PICTURE_TIME * len(self._formats.choices)
        self.timers = {"give up": now + 2 * slowest}
        self._await_picture(now)

    def blind_next(self, now: float) -> None:
        """The next format of the list."""
        self._step_format(1, now)
        self._await_picture(now)

    def count(self, now: float) -> None:
        """The lamp counts from now on: the picture is up, or none seems to come."""
        self.timers.pop("not up", None)
        self._since = now
        self.timers["next format"] = now + self._formats.blind_time()

    def show_card(self, now: float) -> None:
        """The trouble's words stay until a key."""

    def drop_card(self, now: float) -> None:
        """Read; on with the pattern's own caption."""
        self._card = ()
        self._stepping.cue("stand", now)

    def shut_down(self, now: float) -> None:
        """Black, until the power goes."""
        self._since = now
        self.host.abandon("the box was switched off by keys", now)
        self.timers = {"no way off": now + NO_WAY_OFF}

    def stay(self, now: float) -> None:
        """Nobody is there to switch the box off: say so, and go on."""
        self._stepping.tell(("It cannot switch itself off", "pull the plug: nothing lost"), now)

    def refused(self, now: float) -> None:
        """The card refused the format wanted."""
        self.cue("refused", now)

    # What they have in common

    def _refined(self, press: Press) -> str:
        cue = self.meaning(press)
        if cue == "go+vary" and self.state is State.HOSTING:
            return "go+vary held back" if self.host.holds_format else f"go+vary{' beneath' * self.host.any_format}"
        if cue != "go" or self.list_wanted:
            return cue
        if self.state is State.CHOOSING:
            self._wanted = self.activities[self._number]
            return "go on stepping" if self._wanted.begin is None else "go on another"
        if self.state is State.STEPPING and (cue := self._stepping.meaning(press)) == "go timed":
            key = self._stepping.pattern.key
            self._wanted = next(activity for activity in self.activities if activity.pattern == key)
        return cue

    def _press_guest(self, press: Press) -> bool:
        taken, guest = self.host.press(press), self.host.guest
        self._end_if_over(press.at)
        if guest and guest is not self.host.guest and guest.left().passes:
            self._stepping.press(press)
        return taken and press.kind is Kind.TOUCH

    def _end_if_over(self, now: float) -> None:
        if self.host.over:
            self.cue("over", now)

    def _choose(self, number: int, now: float) -> None:
        self._number = number % len(self.activities) if self.list_whole else number
        self.timers = {"choice over": now + 20}

    def _offer(self, step: int, now: float) -> None:
        self._step_format(step, now)
        self.timers = {"offer over": now + OFFER_TIME}

    def _step_format(self, step: int, now: float) -> None:
        self._formats.step(step)
        self._since = now
        self.host.change_format(find_format(self.choice.format), now)

    def _await_picture(self, now: float) -> None:
        self._format_up = False
        self.timers["not up"] = now + PICTURE_TIME
        self.timers.pop("next format", None)
