"""The tone: 1 kHz at −20 dBFS, a whole number of samples long, so that it goes on without a click.

−20 dB below full scale is a tenth of its amplitude (full scale being a sine that just fills the range: AES17-2015,
§3.4, from memory). 48 kHz is the sampling rate of the Pi's and of every television's sound; a period is 48 samples.
"""

from __future__ import annotations

import math
import os
from array import array
from typing import Any

RATE = 48_000
FREQUENCY = 1_000
LEVEL_DB = -20.0
FULL_SCALE = 32_767
_SIDES = {"left": (1, 0), "right": (0, 1), "both": (1, 1)}


def samples(side: str, periods: int = 100) -> array[int]:
    """``periods`` of the tone as 16-bit samples, left and right in turn; raises ``ValueError`` for an unknown side."""
    if side not in _SIDES:
        raise ValueError(f"side {side!r}: unknown; there are {', '.join(_SIDES)}")
    left, right = _SIDES[side]
    period = RATE // FREQUENCY
    peak = FULL_SCALE * 10 ** (LEVEL_DB / 20)
    wave = [round(peak * math.sin(2 * math.pi * n / period)) for n in range(period)]
    return array("h", [value * on for value in wave for on in (left, right)] * periods)


class ToneSound:
    """Plays through the desktop's or the board's default output; raises ``OSError`` when there is none."""

    def __init__(self, pygame: Any = None) -> None:
        os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
        if pygame is None:
            import pygame  # some 50 MB and a third of a second: only when a tone is asked for
        self._mixer = pygame.mixer
        try:
            self._mixer.init(frequency=RATE, size=-16, channels=2, buffer=1024)
        except pygame.error as error:
            raise OSError(f"no sound output: {error}") from error

    def play(self, side: str) -> None:
        """As the protocol; faded in over a fiftieth of a second, since a click is what one listens for in a set."""
        self._mixer.stop()
        if side:
            self._mixer.Sound(buffer=samples(side)).play(loops=-1, fade_ms=20)

    def close(self) -> None:
        """As the protocol."""
        self._mixer.quit()
