"""A soak's own time: it runs and stands, is counted in fields of each phase, and knows when the next one is due."""

from fractions import Fraction

from appliance.activities.soak_plan import Phase, Soak

LATE = 2
"""Seconds by which a phase's first field may come up beside its time; a stamp further off is none of that field's."""


class SoakClock:
    """Where in ``soak`` it is, at ``field_rate`` Hz. It stands at first, at the beginning."""

    def __init__(self, soak: Soak, field_rate: Fraction) -> None:
        self.soak, self._rate, self._ends = soak, field_rate, soak.end_fields(field_rate)
        self.index, self._done = 0, 0.0
        self._anchor: float | None = None
        self._awaiting = False

    @property
    def phase(self) -> Phase:
        """The phase it is at."""
        return self.soak.phases[self.index]

    @property
    def following(self) -> Phase | None:
        """The phase after it; None at the last."""
        phases = self.soak.phases
        return phases[self.index + 1] if self.index + 1 < len(phases) else None

    @property
    def phase_end(self) -> int:
        """The soak's second at which the phase ends."""
        return self.soak.ends[self.index]

    def elapsed(self, now: float) -> float:
        """Seconds of the soak's own time; never beyond the phase's end."""
        gone = 0.0 if self._anchor is None else max(now - self._anchor, 0.0)
        return min(self._done + gone, float(self.phase_end))

    def place(self, elapsed: float) -> None:
        """Stand at ``elapsed`` seconds, held to the soak; where a phase is as good as over, at what comes after it.

        Phases begin with a field, which may be a little before their second: that is nothing of the phase before.
        """
        self._done, self._anchor = min(max(elapsed, 0.0), float(self.soak.total)), None
        self.index = self.soak.phase_at(self._done)
        if self.phase_end - self._done < (LATE if self.phase.rest else float(1 / self._rate)):
            self.skip()

    def run(self, now: float) -> None:
        """Time runs from ``now`` on, or from the field in which the picture comes up."""
        self._anchor, self._awaiting = now, True

    def stop(self, now: float) -> None:
        """Time stands."""
        self._done, self._anchor = self.elapsed(now), None

    def take_back(self) -> None:
        """Time stands where it last began to run: nothing was seen since."""
        self._anchor = None

    def skip(self) -> None:
        """Stand at the beginning of the next phase; at the last, at the end."""
        if self.following is None:
            self._done = float(self.soak.total)
        else:
            self._done, self.index = float(self._ends[self.index] / self._rate), self.index + 1
        self._anchor = None

    def go_on(self, asked: float) -> None:
        """The next phase, whose picture was asked for at ``asked``, half a field before its time."""
        self.skip()
        self.run(asked + float(Fraction(1, 2) / self._rate))

    def over_at(self) -> float:
        """When to ask for the next phase's picture: in the middle of the last field, so that it comes at its end.

        Raises ``ValueError`` while time stands.
        """
        if self._anchor is None:
            raise ValueError("the soak's time stands; run it first")
        return self._anchor + float((self._ends[self.index] - Fraction(1, 2)) / self._rate) - self._done

    def at(self, elapsed: float) -> float:
        """The time at which the soak's own is ``elapsed``, or at which it began to run if that was later.

        Raises ``ValueError`` while time stands.
        """
        if self._anchor is None:
            raise ValueError("the soak's time stands; run it first")
        return self._anchor + max(elapsed - self._done, 0.0)

    def up(self, pattern: str, stamp: float) -> bool:
        """A picture went up at ``stamp``; True when it was the one waited for, and time now counts from there."""
        if not self._awaiting or self._anchor is None or pattern != self.phase.pattern:
            return False
        self._awaiting = False
        if abs(stamp - self._anchor) <= LATE:
            self._anchor = stamp
        return True
