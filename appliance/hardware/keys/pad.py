"""A matrix pad on GPIO: rows driven, columns read; scanned on an edge, and while something is down."""

import logging
import time
from collections.abc import Callable, Sequence
from itertools import count
from typing import Any

from gpiozero import Device, OutputDevice

from appliance.errors import Refused
from appliance.hardware.keys.lines import FLOATING, Active, Line, Pull, close_all, open_input
from appliance.hardware.keys.mailbox import Mailbox
from appliance.hardware.keys.protocol import KeysTrouble
from appliance.presses.edges import Edge
from appliance.presses.matrix import keys_down

log = logging.getLogger(__name__)

RESCAN = 0.030
"""Seconds between scans while something is down: then a second key of the same column gives no edge of its own."""


class PadKeys:
    """Keys at the crossings of rows and columns, without diodes.

    ``rows`` and ``columns`` are BCM numbers, ``layout`` the logical keys, a sequence of columns for each row, ``""``
    where there is none; ``active`` is the level a driven row gives its keys, ``pull`` (the other way) is for the
    columns. Idle, all rows are driven, and any key makes an edge at its column; then nothing runs. A row not driven
    during a scan is let float to its pull, for two rows driven against each other through two keys would short.
    Doubtful crossings are never taken for pressed (:func:`~appliance.presses.matrix.keys_down`), and a column that is
    active with no row driven is taken for a short and ignored.

    Raises :class:`Refused` when the layout does not fit, :class:`KeysTrouble` when a pin cannot be had.
    """

    def __init__(
        self,
        rows: Sequence[int],
        columns: Sequence[int],
        layout: Sequence[Sequence[str]],
        pull: Pull = "up",
        active: Active = "low",
        *,
        factory: Any = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        _check(rows, columns, layout)
        self._layout, self._pull, self._level = layout, FLOATING[pull], int(active == "high")
        self._box: Mailbox[float] = Mailbox(Device.pin_factory if factory is None else factory)
        self._devices: list[Any] = []
        self._rows: list[Any] = []
        self._columns: list[Line] = []
        self._down: frozenset[str] = frozenset()
        self._shorted: frozenset[int] = frozenset()
        self._due: float | None = clock()
        self._watching = False
        self._lost: Exception | None = None
        self._open(rows, columns, pull, active, factory, clock)

    def fileno(self) -> int:
        """Readable when a column changed, or the chip is lost."""
        return self._box.fileno()

    def due(self) -> float | None:
        """When the next scan is due; None while nothing is down."""
        return self._due

    def read(self, now: float) -> list[Edge]:
        """The edges since the last call; raises :class:`KeysTrouble` once the chip is lost."""
        looks = self._box.take()
        if self._lost is not None:
            return self._last(now)
        if not looks and (self._due is None or now < self._due):
            return []
        # A scan that comes late counts as of the time it was due: a release that went unseen is no long press.
        at = min([now, *looks] if self._due is None else [now, self._due])
        try:
            return self._look(at, now)
        except Exception as error:  # whatever a back-end raises, the pad is lost
            self._lose(error)
            return self._last(now)

    def close(self) -> None:
        """Release every pin."""
        close_all(self._devices)
        self._rows.clear()
        self._columns.clear()
        self._box.close()

    def _open(self, rows: Any, columns: Any, pull: Pull, active: Active, factory: Any, clock: Any) -> None:
        number = None
        try:
            for number in rows:
                self._devices.append(
                    OutputDevice(number, active_high=active == "high", initial_value=True, pin_factory=factory)
                )
                self._rows.append(self._devices[-1].pin)
            for number in columns:
                self._devices.append(open_input(number, pull, active, factory))
                self._columns.append(Line(self._devices[-1], active, clock, self._changed))
                self._columns[-1].when_lost(self._lose)
        except Exception as error:  # each of gpiozero's back-ends raises its own kinds
            self.close()
            raise KeysTrouble(f"the pad's GPIO{number}: {error}") from error

    def _changed(self, down: bool, at: float) -> None:
        if down:
            self._box.put(at)

    def _look(self, at: float, now: float) -> list[Edge]:
        """Scan; tell what changed; go on scanning while something is down, else wait for an edge."""
        self._watch(False)  # the scan itself makes edges
        before, self._down = self._down, self._scan()
        self._due = now + RESCAN if self._down else None
        if not self._down:
            self._watch(True)
            if self._active() - self._shorted:  # went down between the scan and the watching
                self._due = now
        ups = [Edge(key, False, at) for key in sorted(before - self._down)]
        return ups + [Edge(key, True, at) for key in sorted(self._down - before)]

    def _scan(self) -> frozenset[str]:
        """Which keys are down. Reading follows driving by a system call: tens of µs for lines that settle in a few."""
        for row in self._rows:
            row.input_with_pull(self._pull)
        self._note_shorts(self._active())
        scan = [self._drive(row) for row in self._rows]
        for row in self._rows:
            row.output_with_state(self._level)
        return keys_down(scan, self._layout, self._down)

    def _drive(self, row: Any) -> list[bool]:
        row.output_with_state(self._level)
        active = self._active() - self._shorted
        row.input_with_pull(self._pull)
        return [number in active for number in range(len(self._columns))]

    def _active(self) -> frozenset[int]:
        return frozenset(number for number, line in zip(count(), self._columns, strict=False) if line.down())

    def _note_shorts(self, shorted: frozenset[int]) -> None:
        for number in shorted - self._shorted:
            log.warning("column %r of the pad is shorted; its keys are ignored", self._columns[number].device.pin)
        self._shorted = shorted

    def _watch(self, on: bool) -> None:
        if on is not self._watching:
            self._watching = on
            for line in self._columns:
                line.watch(on)

    def _lose(self, error: Exception) -> None:
        self._lost = error
        self._box.poke()

    def _last(self, now: float) -> list[Edge]:
        """Every key up; after that only trouble."""
        self._box.poke()
        self._due = None
        if not self._down:
            raise KeysTrouble(f"the GPIO chip of the pad is gone: {self._lost}")
        up = [Edge(key, False, now) for key in sorted(self._down)]
        self._down = frozenset()
        return up


def _check(rows: Sequence[int], columns: Sequence[int], layout: Sequence[Sequence[str]]) -> None:
    shape = [len(row) for row in layout]
    if shape != [len(columns)] * len(rows):
        raise Refused(
            f"the pad's layout has rows of {shape} keys, but there are {len(rows)} row and {len(columns)} column pins:"
            " give one key, or '', for each crossing"
        )
