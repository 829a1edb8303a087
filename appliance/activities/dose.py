"""The dose of light that each zone of a tube has had, in white-hours: an hour of full white is one.

A tube wears with the charge its screen has had, so with linear light × time and not with the level of the signal
(Pfahnl's law; from memory). Whatever is shown, its mean light for each zone is handed in. Where one zone has had much
more than the next, the difference shows as a picture that stays.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

WARNING = 1.0
"""White-hours by which one zone leads its neighbour when the box warns (from memory, no source)."""

SHIFT_TIME = 180
"""Seconds a still picture stays before it shifts by a cell."""
SHIFTS = ((0, 0), (1, 0), (1, 1), (0, 1))
"""Cells across and down, in turn: one cell at a time, and back where it began after four."""


class Lead(NamedTuple):
    """Zone ``zone`` has had ``white_hours`` more than the side of it, ``beside``, that has had least."""

    zone: int
    beside: int
    white_hours: float


@dataclass(frozen=True)
class Dose:
    """White-hours of zones 1 to 9, in that order."""

    white_hours: tuple[float, ...] = (0.0,) * 9

    def after(self, light: Sequence[float], seconds: float) -> "Dose":
        """The dose after ``seconds`` of a picture of mean linear light ``light``, 0 to 1, for each of the nine zones.

        Raises ``ValueError`` unless there are nine, each from 0 to 1, and the time is not negative.
        """
        if len(light) != len(self.white_hours) or not all(0 <= share <= 1 for share in light):
            raise ValueError(f"nine shares of light from 0 to 1 are wanted, not {light!r}")
        if not 0 <= seconds < float("inf"):
            raise ValueError(f"a time from 0 on is wanted, not {seconds!r}")
        return Dose(tuple(had + share * seconds / 3600 for had, share in zip(self.white_hours, light, strict=True)))

    def leads(self, least: float = WARNING) -> tuple[Lead, ...]:
        """The zones that lead one beside, above or below them by at least ``least``, the furthest ahead first."""
        found = [self._lead(zone) for zone in range(1, 10)]
        return tuple(sorted((lead for lead in found if lead.white_hours >= least), key=lambda lead: -lead.white_hours))

    def _lead(self, zone: int) -> Lead:
        beside = min(neighbours(zone), key=lambda other: self.white_hours[other - 1])
        return Lead(zone, beside, self.white_hours[zone - 1] - self.white_hours[beside - 1])


def neighbours(zone: int) -> tuple[int, ...]:
    """The zones that share a side with ``zone``."""
    row, column = divmod(zone - 1, 3)
    places: Iterable[tuple[int, int]] = ((row - 1, column), (row, column - 1), (row, column + 1), (row + 1, column))
    return tuple(3 * down + across + 1 for down, across in places if 0 <= down < 3 and 0 <= across < 3)


def shift(stood: float) -> tuple[int, int]:
    """Cells across and down by which a still picture is to be shifted once it has stood ``stood`` seconds."""
    return SHIFTS[int(max(stood, 0) // SHIFT_TIME) % len(SHIFTS)]
