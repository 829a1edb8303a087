"""What a soak asks: a look at the set, an observation, whether to end."""

from appliance.activities.soak_look import Look, offered_at
from appliance.activities.soak_run import SoakRun
from appliance.activities.soak_table import WAITS
from appliance.activities.soak_words import MINUTE, OBSERVATIONS

OFFER_TIME, NOTE_TIME, ASK_TIME, ITEM_TIME = 15, 20, 20, 45
"""Seconds without a key until a look's offer, an observation, the question about the end, a look are given up."""


class SoakMenus(SoakRun):
    """The moves of the menus."""

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
