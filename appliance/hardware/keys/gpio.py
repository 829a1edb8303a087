"""Single keys on GPIO inputs, through gpiozero."""

import time
from collections.abc import Callable, Mapping
from typing import Any

from gpiozero import Device

from appliance.hardware.keys.lines import Active, Line, Pull, close_all, open_input
from appliance.hardware.keys.mailbox import Mailbox
from appliance.hardware.keys.protocol import KeysTrouble
from appliance.presses.edges import Edge


class GpioKeys:
    """One key a pin. ``pins`` maps logical keys to BCM numbers; ``active`` is the level of a key that is down.

    ``factory`` is a gpiozero pin factory, gpiozero's default one if None. With our unthreaded
    :class:`~appliance.hardware.gpiod_factory.GpiodFactory` everything happens on the caller's thread and edges carry
    the kernel's time; with others the time of ``clock`` when they are told.

    Raises :class:`KeysTrouble`, naming key and pin, when one cannot be had.
    """

    def __init__(
        self,
        pins: Mapping[str, int],
        pull: Pull = "up",
        active: Active = "low",
        *,
        factory: Any = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._box: Mailbox[Edge] = Mailbox(Device.pin_factory if factory is None else factory)
        self._devices: list[Any] = []
        self._lines: dict[str, Line] = {}
        self._down: set[str] = set()
        self._lost: Exception | None = None
        for key, number in pins.items():
            try:
                self._open(key, open_input(number, pull, active, factory), active, clock)
            except Exception as error:  # each of gpiozero's back-ends raises its own kinds
                self.close()
                raise KeysTrouble(f"key {key} on GPIO{number}: {error}") from error

    def fileno(self) -> int:
        """Readable when an edge waits, or the chip is lost."""
        return self._box.fileno()

    def due(self) -> float | None:
        """Never: edges come by themselves."""
        return None

    def read(self, now: float) -> list[Edge]:
        """The edges since the last call; raises :class:`KeysTrouble` once the chip is lost."""
        edges = self._box.take()
        for edge in edges:
            (self._down.add if edge.down else self._down.discard)(edge.key)
        if self._lost is not None:
            return self._last(edges, now)
        return edges

    def close(self) -> None:
        """Release every pin."""
        close_all(self._devices)
        self._lines.clear()
        self._box.close()

    def _open(self, key: str, device: Any, active: Active, clock: Callable[[], float]) -> None:
        self._devices.append(device)
        line = Line(device, active, clock, lambda down, at: self._box.put(Edge(key, down, at)))
        self._lines[key] = line
        line.when_lost(self._lose)
        line.watch(True)  # first watched, then looked at: what changes in between is told twice, never missed
        if line.down():
            self._box.put(Edge(key, True, clock()))

    def _lose(self, error: Exception) -> None:
        self._lost = error
        self._box.poke()

    def _last(self, edges: list[Edge], now: float) -> list[Edge]:
        """The last edges, with every key up at the end; after them only trouble."""
        self._box.poke()
        if not edges and not self._down:
            raise KeysTrouble(f"the GPIO chip of the keys is gone: {self._lost}")
        up = [Edge(key, False, now) for key in sorted(self._down)]
        self._down.clear()
        return edges + up
