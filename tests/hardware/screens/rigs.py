"""Rigs for the contract: each screen with a time of its own."""

from __future__ import annotations

from appliance.hardware.screens.kms import KmsScreen
from appliance.hardware.screens.memory import MemoryScreen
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
