"""What a pattern gives: a frame, and for a moving one the way its window goes."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Frame = NDArray[np.uint32]
"""``uint32[lines, samples]``, C-contiguous, XRGB: 0x00RRGGBB."""


@dataclass(frozen=True)
class Way:
    """How a window moves over an oversize frame: ``dx`` samples and ``dy`` rows a field, wrapping at whole periods.

    ``period_x``, ``period_y``: the picture repeats after so many samples and rows, so the wrap has no seam.
    """

    dx: int
    dy: int
    period_x: int
    period_y: int

    def at(self, field: int) -> tuple[int, int]:
        """Sample and row of the window's corner in field ``field``, counted from 0 where the movement began."""
        return (field * self.dx) % self.period_x, (field * self.dy) % self.period_y


@dataclass(frozen=True)
class Turns:
    """Frames shown in turn, again and again: ``shown`` is index and number of fields of each turn.

    ``lit``: the indices during which the box's running lamp is lit, switched in the field the frame goes up in.
    """

    shown: tuple[tuple[int, int], ...]
    lit: frozenset[int] = frozenset()

    @property
    def period(self) -> int:
        """Fields until it begins again."""
        return sum(fields for _, fields in self.shown)

    def index(self, field: int) -> int:
        """Which frame is up in field ``field``."""
        left = field % self.period
        for index, fields in self.shown:
            left -= fields
            if left < 0:
                return index
        raise AssertionError(f"field {field} lies beyond a period of {self.period}")


@dataclass(frozen=True)
class Picture:
    """A frame at least as large as the format, and how it moves: ``way`` and ``turns`` are None for a still one.

    ``more``: further frames of the same size that ``turns`` takes by index, ``frame`` being index 0.
    """

    frame: Frame
    way: Way | None = None
    more: tuple[Frame, ...] = ()
    turns: Turns | None = None

    @property
    def frames(self) -> tuple[Frame, ...]:
        """All frames, by index."""
        return self.frame, *self.more

    def index(self, field: int) -> int:
        """Which frame is up in field ``field``, counted from 0 where the movement began."""
        return self.turns.index(field) if self.turns else 0

    def at(self, field: int) -> tuple[int, int]:
        """Sample and row of the window's corner in field ``field``."""
        return self.way.at(field) if self.way else (0, 0)

    def lit(self, field: int) -> bool | None:
        """Whether the lamp that goes with the picture is lit in field ``field``; None when none does."""
        return self.turns.index(field) in self.turns.lit if self.turns and self.turns.lit else None

    def field(self, number: int, lines: int, samples: int) -> Frame:
        """The ``lines`` × ``samples`` shown in field ``number``."""
        x, y = self.at(number)
        return self.frames[self.index(number)][y : y + lines, x : x + samples]
