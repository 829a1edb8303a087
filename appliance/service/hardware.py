"""The hardware that the settings name: screens, keys and lamps, each opened when it is asked for."""

import importlib
import logging
import os
import sys
import time
from collections.abc import Callable
from typing import Any

from appliance.errors import Refused
from appliance.hardware.keys.protocol import Keys
from appliance.hardware.lamps.protocol import Lamps
from appliance.hardware.screens.base import ScreenTrouble
from appliance.hardware.screens.protocol import Screen
from appliance.hardware.sound.protocol import Sound
from appliance.service.assemble import Hardware
from appliance.settings import Settings

log = logging.getLogger(__name__)

DEVICES = "input devices"
"""What the kernel's input devices are called as a source of keys."""

_GPIOZERO = {
    "lgpio": ("gpiozero.pins.lgpio", "LGPIOFactory"),
    "rpigpio": ("gpiozero.pins.rpigpio", "RPiGPIOFactory"),
    "native": ("gpiozero.pins.native", "NativeFactory"),
    "pigpio": ("gpiozero.pins.pigpio", "PiGPIOFactory"),
    "mock": ("gpiozero.pins.mock", "MockFactory"),
}


class Pins:
    """The pin factory that keys and lamps share, and the clock that edges are stamped by.

    The factory is made when first asked for, and anew after its chip was lost.
    """

    def __init__(self, settings: Settings, clock: Callable[[], float] = time.monotonic) -> None:
        self.clock = clock
        self._name, self._chip = settings.gpio.factory, settings.gpio.chip
        self._factory: Any = None

    def factory(self) -> Any:
        """The factory; raises what its making raises."""
        if self._factory is not None and getattr(self._factory, "lost", None):
            self._factory.close()
            self._factory = None
        if self._factory is None:
            self._factory = self._make()
        return self._factory

    def _make(self) -> Any:
        if self._name == "fieldmouse":
            from appliance.hardware.gpiod_factory import GpiodFactory

            # The loop waits for the edges itself, so no thread is needed.
            return GpiodFactory(None if self._chip == "auto" else f"/dev/{self._chip}", threaded=False)
        module, name = _GPIOZERO[self._name]
        return getattr(importlib.import_module(module), name)()


def find_hardware(settings: Settings, screen: str) -> Hardware:
    """What the settings name, with ``screen`` one of kms, window, memory.

    Input devices are opened beside the lead alone: with a picture in memory they are the keyboard of who tries it.
    """
    if screen == "window":
        return _window()
    pins = Pins(settings)
    keys = [source for source in key_openers(settings, pins) if screen == "kms" or source[0] != DEVICES]
    return Hardware(_screen_opener(settings, screen), tuple(keys), lamp_opener(settings, pins), open_sound)


def key_openers(settings: Settings, pins: Pins, *, grab: bool = True) -> list[tuple[str, Callable[[], Keys]]]:
    """Name and opener of each source of keys in use; without ``grab`` input devices are left to others as well."""
    keys = settings.keys
    openers: list[tuple[str, Callable[[], Keys]]] = []
    if keys.single.pins:
        openers.append(("keys", lambda: _single(settings, pins)))
    if keys.pad.use:
        openers.append(("pad", lambda: _pad(settings, pins)))
    if keys.devices.use:
        openers.append((DEVICES, lambda: _devices(settings, grab)))
    return openers


def lamp_opener(settings: Settings, pins: Pins) -> Callable[[], Lamps]:
    """Opener of the lamps."""

    def open_lamps() -> Lamps:
        from appliance.hardware.lamps.gpio import GpioLamps

        active: Any = settings.lamps.active
        return GpioLamps(settings.lamps.pins, active, factory=pins.factory())

    return open_lamps


def open_sound() -> Sound:
    """The board's sound output."""
    from appliance.hardware.sound.tone import ToneSound

    return ToneSound()


def _single(settings: Settings, pins: Pins) -> Keys:
    from appliance.hardware.keys.gpio import GpioKeys

    single: Any = settings.keys.single
    return GpioKeys(single.pins, single.pull, single.active, factory=pins.factory(), clock=pins.clock)


def _pad(settings: Settings, pins: Pins) -> Keys:
    from appliance.hardware.keys.pad import PadKeys

    pad = settings.keys.pad
    layout = [[key or "" for key in row] for row in pad.layout]
    return PadKeys(pad.rows, pad.columns, layout, factory=pins.factory(), clock=pins.clock)


def _devices(settings: Settings, grab: bool) -> Keys:
    from appliance.hardware.keys.input_devices import InputKeys

    return InputKeys(settings.keys.devices.keys, grab=grab)


def _screen_opener(settings: Settings, screen: str) -> Callable[[], Screen]:
    def open_screen() -> Screen:
        if screen == "memory":
            from appliance.hardware.screens.memory import MemoryScreen

            return MemoryScreen(time.monotonic)
        if screen == "kms":
            from appliance.hardware.screens.kms import KmsScreen

            connector = settings.screen.connector
            return KmsScreen(None if connector == "auto" else connector)
        raise Refused(f"screen {screen!r}: unknown; there are kms, window, memory")

    return open_screen


def _window() -> Hardware:
    from appliance.hardware.lamps.memory import MemoryLamps
    from appliance.hardware.screens.window import WindowScreen
    from appliance.hardware.screens.window_keys import WindowKeys

    if sys.platform == "linux" and not {"DISPLAY", "WAYLAND_DISPLAY", "SDL_VIDEODRIVER"} & set(os.environ):
        raise _no_desktop("neither DISPLAY nor WAYLAND_DISPLAY is set")
    try:
        screen = WindowScreen()
    except ScreenTrouble as trouble:
        # A box waits for its connector; a person who asks for a window where there is none is told at once.
        raise _no_desktop(str(trouble)) from None
    if _hidden():
        screen.close()
        raise _no_desktop("no desktop is found here to open a window on")
    return Hardware(
        lambda: screen, (("keyboard", lambda: WindowKeys(screen)),), MemoryLamps, open_sound, lambda: screen.closed
    )


def _no_desktop(what: str) -> Refused:
    return Refused(f"window: {what}; start it on a desktop, or try `fieldmouse rehearse`, which needs none")


def _hidden() -> bool:
    """Whether SDL, unasked, fell back on a driver whose windows nobody sees."""
    from pygame.display import get_driver

    return get_driver() in ("offscreen", "dummy") and "SDL_VIDEODRIVER" not in os.environ
