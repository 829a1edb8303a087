"""GPIO inputs through gpiozero, as both the single keys and the pad use them."""

import logging
import time
from collections.abc import Callable
from typing import Any, Literal

from gpiozero import InputDevice

log = logging.getLogger(__name__)

Pull = Literal["up", "down", "none"]
Active = Literal["low", "high"]

PULL_UP = {"up": True, "down": False, "none": None}
FLOATING = {"up": "up", "down": "down", "none": "floating"}
"""Our words for pulls → gpiozero's."""


def open_input(number: int, pull: Pull, active: Active, factory: Any) -> Any:
    """An input of gpiozero's. ``InputDevice``, since ``DigitalInputDevice`` keeps the kernel's time stamps to itself
    and ``Button`` polls from a thread."""
    state = active == "high" if pull == "none" else None
    return InputDevice(number, pull_up=PULL_UP[pull], active_state=state, pin_factory=factory)


class Line:
    """One input whose changes are told with their time; levels are the wire's own, whatever gpiozero calls active."""

    def __init__(
        self, device: Any, active: Active, clock: Callable[[], float], tell: Callable[[bool, float], None]
    ) -> None:
        """``tell(down, at)`` is called at each change while it is watched, perhaps from another thread."""
        self.device = device
        self._level = active == "high"
        self._clock, self._tell = clock, tell
        self._stamped = clock is time.monotonic and getattr(device.pin_factory, "kernel_stamps", False)

    def watch(self, on: bool) -> None:
        """Begin or cease to tell of changes."""
        if on and self.device.pin.edges != "both":
            self.device.pin.edges = "both"
        self.device.pin.when_changed = self.changed if on else None

    def down(self) -> bool:
        """Whether the level is the active one now."""
        return bool(self.device.pin.state) is self._level

    def changed(self, ticks: float, state: int) -> None:
        """A change, called by the pin. Its ticks are taken only when they are known to be of the clock in use."""
        self._tell(bool(state) is self._level, ticks if self._stamped else self._clock())

    def when_lost(self, call: Callable[[Exception], None]) -> None:
        """Have ``call`` called when the chip vanishes; back-ends other than ours do not tell."""
        if hasattr(self.device.pin, "when_lost"):
            self.device.pin.when_lost = call


def close_all(devices: list[Any]) -> None:
    """Close gpiozero devices, the rest too if one fails."""
    for device in devices:
        try:
            device.close()
        except Exception as error:  # each of gpiozero's back-ends raises its own kinds
            log.warning("closing %r: %s", device, error)
    devices.clear()
