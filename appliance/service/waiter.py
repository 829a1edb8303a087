"""Waiting: for file descriptors and times in earnest, or through time that is only reckoned."""

import os
import select
import signal
import time
from collections.abc import Iterable
from math import ceil
from typing import Protocol

STANDSTILL = 1000
"""Passes at one moment of simulated time after which it is taken for stuck."""


class Waiter(Protocol):
    """The loop's clock and its only place of waiting."""

    def clock(self) -> float:
        """Seconds of the monotonic clock."""

    def wait(self, files: Iterable[int], until: float | None) -> bool:
        """Return when one of ``files`` is readable or ``until`` has come; False when nothing ever will."""


class RealWaiter:
    """Sleeps in the kernel until something happens; with nothing due, for good."""

    def __init__(self) -> None:
        self._files: list[int] = []
        self._poll = select.poll()
        # A handler alone would not end the wait: Python goes on sleeping after it (PEP 475). The pipe does.
        self._woken, wake = os.pipe2(os.O_NONBLOCK | os.O_CLOEXEC)
        signal.set_wakeup_fd(wake, warn_on_full_buffer=False)

    def clock(self) -> float:
        """Seconds of the machine's monotonic clock, the one that flips are stamped with."""
        return time.monotonic()

    def wait(self, files: Iterable[int], until: float | None) -> bool:
        """Always True: a signal can come at any time."""
        if (wanted := [*files, self._woken]) != self._files:
            self._files, self._poll = wanted, select.poll()
            for file in wanted:
                self._poll.register(file, select.POLLIN)
        # Rounded up: a wait that ends a hair early would turn into a loop of empty passes.
        ready = self._poll.poll(None if until is None else max(0, ceil((until - self.clock()) * 1000)))
        if any(file == self._woken for file, _ in ready):
            os.read(self._woken, 512)
        return True


class World(Protocol):
    """What happens outside the box in simulated time."""

    def due(self) -> float | None:
        """When something happens next."""

    def happen(self, now: float) -> bool:
        """Let it happen; False when it was the end."""


class SimulatedWaiter:
    """Time that jumps to whatever is due next: hours of the box in a second, to the microsecond the same each time."""

    def __init__(self, now: float = 0.0, world: World | None = None) -> None:
        self.now, self.world = now, world
        self._standing = 0

    def clock(self) -> float:
        """Where the simulated time stands, in seconds."""
        return self.now

    def wait(self, files: Iterable[int], until: float | None) -> bool:  # noqa: ARG002 - as the protocol
        """Jump to ``until`` or to what the world does before; False at its end, or when nothing is due ever again."""
        outside = self.world.due() if self.world else None
        dues = [due for due in (until, outside) if due is not None]
        if not dues:
            return False
        # Something that is always due would hold time for ever: a fault of the box, told at once.
        self._standing = self._standing + 1 if min(dues) <= self.now else 0
        if self._standing > STANDSTILL:
            raise RuntimeError(f"time stands at {self.now} s: due are {sorted(dues)}")
        self.now = max(self.now, min(dues))
        return self.world is None or outside is None or outside > self.now or self.world.happen(self.now)
