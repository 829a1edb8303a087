"""What may befall a box whatever it is at: its power cut, its program killed, its screen lost, its disk full."""

import sqlite3
from pathlib import Path
from typing import Generic, TypeVar

from appliance.hardware.screens.base import ScreenTrouble
from appliance.hardware.screens.memory import MemoryScreen
from tests.service.soaked import Powered
from tests.service.test_troubles import Disk

BEFALLING = ["cut", "kill", "screen", "full", "well"]

Box = TypeVar("Box", bound=Powered)


class Befallen(Generic[Box]):
    """A box of a kind, its records in ``folder``; ``box`` is another one after each start.

    The clock goes on when the program alone was killed.
    """

    def __init__(self, folder: Path, kind: type[Box]) -> None:
        self.folder, self.disk, self.boot, self._kind = folder, Disk(), 0, kind
        self.box = self._powered()

    def befall(self, what: str) -> bool:
        """One of :data:`BEFALLING`; False for anything else."""
        box = self.box
        if what in ("cut", "kill"):
            box.cut()
            self.boot += what == "cut"
            self.box = self._powered(0.0 if what == "cut" else box.waiter.now)
        elif what == "screen":
            box.screen.trouble = ScreenTrouble("gone")
            box.run(0.5)
            box.screen = MemoryScreen(box.waiter.clock)
        elif what in ("full", "well"):
            self.disk.code = sqlite3.SQLITE_FULL if what == "full" else 0
        return what in BEFALLING

    def _powered(self, at: float = 0.0) -> Box:
        return self._kind(self.folder, f"boot {self.boot}", at, connect=self.disk, blinks=False).run(1)
