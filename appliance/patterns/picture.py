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
class Picture:
    """A frame at least as large as the format; ``way`` is None for a still one."""

    frame: Frame
    way: Way | None = None

    def field(self, number: int, lines: int, samples: int) -> Frame:
        """The ``lines`` × ``samples`` shown in field ``number``."""
        x, y = self.way.at(number) if self.way else (0, 0)
        return self.frame[y : y + lines, x : x + samples]
