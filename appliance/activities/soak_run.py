"""What every part of a soak shares: its own time, its timers, its words, its events, and the way on."""

from fractions import Fraction

from appliance.activities.soak_clock import LATE, SoakClock
from appliance.activities.soak_event import SoakEvent
from appliance.activities.soak_look import Look, offered_at
from appliance.activities.soak_plan import Phase, Soak
from appliance.activities.soak_table import State
from appliance.activities.soak_words import MINUTE, Cause, skipped
from appliance.activities.table import Machine

DIM_TIME, PAGE_TIME, CAUTION_TIME = 30, 5, 120
"""Seconds: dim before any load on a set that may be cold; a page of the cautions; until nobody has started it."""

_SILENT = frozenset({State.RUNNING, State.BLACK, State.LOOKING})
"""Where no words of the soak's own begin to stand."""


class SoakRun(Machine):
    """Where a run of ``soak`` at ``field_rate`` Hz is. ``words_time``: seconds the progress stands each minute.

    ``events``: what happened since they were last taken by :meth:`drain`; ``last_key``: when a key was last pressed.
    """

    def __init__(self, soak: Soak, field_rate: Fraction, now: float, *, words_time: float = 4) -> None:
        super().__init__(State.CAUTION)
        self.soak, self.last_key = soak, now
        self.events: list[SoakEvent] = []
        self._clock, self._words_time = SoakClock(soak, field_rate), words_time
        self._words = self._high = self._waits = self._pages_seen = self._hot = False
        self._cause = Cause.POWER_CUT
        self._look: Look | None = None
        self._due_look: int | None = None
        self._margins: dict[str, int] = {}
        self._next_look = self._page = self._kind = 0
        self._told, self._since, self._cold, self._left_out = 0.0, now, True, 0
        self.timers = {"next page": now + PAGE_TIME, "caution over": now + CAUTION_TIME}

    @property
    def phase(self) -> Phase:
        """The phase it is at."""
        return self._clock.phase

    def elapsed(self, now: float) -> float:
        """Seconds of the soak's own time."""
        return self._clock.elapsed(now)

    def leave(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """Nothing more to do here."""
        self.timers.clear()

    def drain(self) -> list[SoakEvent]:
        """The events since the last time, which are then forgotten here."""
        events, self.events = self.events, []
        return events

    def run(self, now: float) -> None:
        """On with the phase from where it stood."""
        self._enter(now)
        self._clock.run(now)
        self.timers["never up"] = now + LATE
        self._expect_somebody()
        self._set_timers()

    def _enter(self, now: float, **timers: float) -> None:
        """A new state: ``timers`` beside the minute's, other words, lamps that begin anew."""
        beat = self.timers.get("minute", now + MINUTE)
        self.timers = {"minute": beat} | {name.replace("_", " "): at for name, at in timers.items()}
        self._words, self._hot, self._since = False, False, now
        self._told = self.elapsed(now)
        if self.state not in _SILENT:
            self._turn_words(now)

    def _turn_words(self, now: float) -> None:
        """Words burn in like any still picture: they change between the low and the high place."""
        self._told, self._high = self.elapsed(now), not self._high

    def _tell(self, kind: str, now: float, words: str = "") -> None:
        self.events.append(SoakEvent(kind, now, self.elapsed(now), self._clock.index, words))

    def _tell_skipped(self, now: float) -> None:
        left = round(self._clock.phase_end - self.elapsed(now))  # whole seconds, so that what is told adds up
        self._left_out += left
        self._tell("skipped", now, skipped(self.phase.words, left))

    def _rest(self, now: float) -> None:
        """The set is to be switched off for what there is left of the rest; its time runs at once."""
        self._clock.run(now)
        self._enter(now)
        self._cold = True
        self.timers["rest over"] = now + self._clock.phase_end - self.elapsed(now)
        self._tell("phase", now, self.phase.words)

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
