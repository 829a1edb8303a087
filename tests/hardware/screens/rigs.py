"""Rigs for the contract: each screen with a time of its own."""

from __future__ import annotations

import numpy
import pygame

from appliance.hardware.screens.kms import KmsScreen
from appliance.hardware.screens.memory import MemoryScreen
from appliance.hardware.screens.window import WindowScreen
from tests.hardware.screens.pretend_kernel import PretendCard, PretendKernel


class MemoryRig:
    """The memory screen under a clock that jumps to whatever is due."""

    slack = 1e-9

    def __init__(self) -> None:
        self.now = 50.0
        self.screen = MemoryScreen(lambda: self.now)

    def wait(self) -> float:
        """Go to when the screen is due."""
        self.now = max(self.now, self.screen.due() or self.now)
        return self.now

    def picture(self) -> bytes | None:
        """The frame kept."""
        return self.screen.frame()


class KmsRig:
    """The composite connector on a pretend kernel whose clock moves when waited for."""

    slack = 2e-6  # stamps are whole microseconds

    def __init__(self, **card: bool) -> None:
        self.card = PretendCard(**card)  # type: ignore[arg-type] # the switches given here are all booleans
        self.kernel = PretendKernel(card0=self.card)
        self.screen = KmsScreen(clock=lambda: self.card.now, system=self.kernel)

    def wait(self) -> float:
        """Let half a field pass."""
        self.card.advance(0.008)
        return self.card.now

    def picture(self) -> bytes | None:
        """What is scanned out; a dark screen shows nothing."""
        return self.card.picture() or b""


class WindowRig:
    """The window on a desktop that exists only in memory, its lines and samples repeated and not smoothed.

    It is so large that every sample takes two pixels or more each way: one in the middle can be read back for each.
    """

    slack = 1e-9

    def __init__(self) -> None:
        self.now = 50.0
        self.screen = WindowScreen(lambda: self.now, height=1152, smooth=False)

    def wait(self) -> float:
        """Go to when the screen is due."""
        self.now = max(self.now, self.screen.due() or self.now)
        return self.now

    def picture(self) -> bytes | None:
        """Each word of the picture from the middle of where it is in the window."""
        seen = pygame.surfarray.array2d(pygame.display.get_surface()).T
        line = self.screen.modeline
        assert line is not None
        rows = numpy.rint((numpy.arange(line.vdisplay) + 0.5) * seen.shape[0] / line.vdisplay)
        columns = numpy.rint((numpy.arange(line.hdisplay) + 0.5) * seen.shape[1] / line.hdisplay)
        return bytes(seen[rows.astype(int)][:, columns.astype(int)].astype("<u4").tobytes())
