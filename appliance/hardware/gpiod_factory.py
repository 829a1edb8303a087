"""A gpiozero pin factory on the official gpiod bindings: kernel edges, and no wake-up while nothing happens.

gpiozero finds it by entry point: ``GPIOZERO_PIN_FACTORY=fieldmouse_gpiod``. It subclasses only gpiozero's abstract
factory and pin, so it needs no board revision and works with gpiozero 1.6 and 2. Pins are named by their BCM number,
``17`` or ``"GPIO17"``, which is the line's offset on a Raspberry Pi's chip.
"""

import contextlib
import logging
import os
import re
import select
import threading
import time
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any
from weakref import ref

from gpiozero import GPIOPinInUse, PinInvalidPin
from gpiozero.pins import Factory

from appliance.hardware.gpiod_pin import GpiodPin

log = logging.getLogger(__name__)

LABELS = ("pinctrl-rp1", "pinctrl-bcm2711", "pinctrl-bcm2835")
"""What the kernel calls the chip of the header's lines: Pi 5, Pi 4, the earlier ones."""


def find_chip(gpiod: Any, paths: Iterable[str] | None = None) -> str:
    """The path of the chip with a Raspberry Pi's label; raises ``OSError`` naming what was seen if there is none."""
    seen = []
    for path in sorted(str(p) for p in Path("/dev").glob("gpiochip*")) if paths is None else paths:
        try:
            with gpiod.Chip(path) as chip:
                label = chip.get_info().label
        except OSError as error:
            label = error.strerror or str(error)
        if label in LABELS:
            return path
        seen.append(f"{path} ({label})")
    raise FileNotFoundError(
        f"no GPIO chip labelled {', '.join(LABELS)}; there is: {', '.join(seen) or 'no /dev/gpiochip at all'}"
    )


class GpiodFactory(Factory):  # type: ignore[misc]  # gpiozero has no types
    """Pins of one GPIO chip.

    ``chip`` is a path such as ``/dev/gpiochip0``; without it the chip is found by its label. ``threaded``: one thread
    blocks until an edge comes and calls the pins' ``when_changed``, as gpiozero's own factories do. Not threaded: the
    owner waits for :meth:`fileno` to be readable and calls :meth:`dispatch`, which calls ``when_changed`` right there.
    ``gpiod`` and ``paths`` stand in for the bindings and for ``/dev/gpiochip*`` in tests.

    Raises ``OSError`` when there is no such chip or it may not be opened, ``ImportError`` without the bindings.
    """

    kernel_stamps = True
    """The ticks of ``when_changed`` are the kernel's own, in seconds of the monotonic clock."""

    def __init__(
        self,
        chip: str | None = None,
        threaded: bool = True,
        *,
        gpiod: Any = None,
        paths: Iterable[str] | None = None,
    ) -> None:
        super().__init__()
        if gpiod is None:
            import gpiod  # an extra: only a Pi needs it
        self.gpiod = gpiod
        self.threaded = threaded
        self.lost: OSError | None = None
        self.lock = threading.RLock()
        self._pins: dict[int, GpiodPin] = {}
        self._watched: dict[int, GpiodPin] = {}
        self._path = find_chip(gpiod, paths) if chip is None else chip
        self.chip = gpiod.Chip(self._path)
        self._lines = self.chip.get_info().num_lines
        self._epoll = select.epoll()
        self._thread = _Thread(self._epoll, self._ready) if threaded else None

    def close(self) -> None:
        """Release every line, end the thread, close the chip."""
        if self._thread is not None:
            self._thread.end()
            self._thread = None
        for pin in self._pins.values():
            pin.close()
        self._pins.clear()
        self._epoll.close()
        self.chip.close()

    def fileno(self) -> int:
        """What becomes readable when an edge waits, for an owner who dispatches."""
        return self._epoll.fileno()

    def dispatch(self) -> None:
        """Call ``when_changed`` for every edge that waits; never blocks."""
        self._ready(self._epoll.poll(0))

    def ticks(self) -> float:
        """Seconds of the monotonic clock."""
        return time.monotonic()

    def ticks_diff(self, later: float, earlier: float) -> float:
        """Seconds between two ticks, never negative."""
        return max(0.0, later - earlier)

    def pin(self, name: int | str) -> GpiodPin:
        """The pin of a BCM number; always the same object. Raises ``PinInvalidPin`` when the chip has no such line."""
        number = self._number(name)
        return self._pins.setdefault(number, GpiodPin(self, number))

    def reserve_pins(self, requester: Any, *names: int | str) -> None:
        """Note that a device has these pins; raises ``GPIOPinInUse`` when another has one of them."""
        with self._res_lock:
            for number in map(self._number, names):
                owners = [owner for held in self._reservations[number] if (owner := held()) is not None]
                if rival := next((owner for owner in owners if requester._conflicts_with(owner)), None):
                    raise GPIOPinInUse(f"pin GPIO{number} is already in use by {rival!r}")
                self._reservations[number].append(ref(requester))

    def release_pins(self, reserver: Any, *names: int | str) -> None:
        """Forget that the device has these pins."""
        with self._res_lock:
            for number in map(self._number, names):
                held = self._reservations[number]
                self._reservations[number] = [owner for owner in held if owner() not in (reserver, None)]

    def release_all(self, reserver: Any) -> None:
        """Forget every pin the device has."""
        self.release_pins(reserver, *list(self._reservations))

    def watch(self, pin: GpiodPin, fd: int) -> None:
        """Tell the pin when its request can be read."""
        if fd not in self._watched:
            self._watched[fd] = pin
            self._epoll.register(fd, select.EPOLLIN)

    def unwatch(self, fd: int) -> None:
        """Stop telling."""
        if self._watched.pop(fd, None) is not None:
            with contextlib.suppress(OSError):  # a closed file has left the epoll by itself
                self._epoll.unregister(fd)

    def lose(self, error: OSError) -> None:
        """The chip is gone: let go of every line and tell the pins' owners, once each."""
        self.lost = self.lost or error
        for pin in list(self._pins.values()):
            pin.lose(error)

    def _ready(self, fds: list[tuple[int, int]]) -> None:
        for fd, _ in fds:
            if (pin := self._watched.get(fd)) is not None:
                pin.read_edges()

    def _number(self, name: int | str) -> int:
        match = re.fullmatch(r"(?:GPIO|BCM)?(\d{1,3})", str(name))
        if match is None or int(match[1]) >= self._lines:
            raise PinInvalidPin(f"{name!r} is no pin of {self._path}: BCM numbers 0 to {self._lines - 1} are")
        return int(match[1])

    def _get_board_info(self) -> Any:
        raise NotImplementedError("this factory knows its chip, not the board around it")

    def _get_pi_info(self) -> None:
        return None


class _Thread:
    """One thread that blocks in the epoll and hands on what is ready, until it is ended."""

    def __init__(self, epoll: select.epoll, ready: Callable[[list[tuple[int, int]]], None]) -> None:
        self._epoll, self._ready = epoll, ready
        self._wake, self._poke = os.pipe()
        epoll.register(self._wake, select.EPOLLIN)
        self._thread = threading.Thread(target=self._run, name="gpiod edges", daemon=True)
        self._thread.start()

    def end(self) -> None:
        """Wake the thread and wait until it has gone."""
        os.write(self._poke, b".")
        if threading.current_thread() is not self._thread:
            self._thread.join()
        os.close(self._wake)
        os.close(self._poke)

    def _run(self) -> None:
        while True:
            fds = self._epoll.poll()
            if any(fd == self._wake for fd, _ in fds):
                return
            try:
                self._ready(fds)
            except Exception:  # one bad callback must not leave every other key dead
                log.exception("a pin's callback failed")
