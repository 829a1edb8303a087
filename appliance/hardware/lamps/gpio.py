"""Lamps on GPIO outputs, through gpiozero."""

import logging
from collections.abc import Mapping
from typing import Any, Literal

from gpiozero import DigitalOutputDevice

from appliance.hardware.lamps.protocol import LampsTrouble

log = logging.getLogger(__name__)

NAMES = ("ready", "running", "attention")


class GpioLamps:
    """One lamp a pin; ``pins`` maps ``ready``, ``running``, ``attention`` to BCM numbers, and may leave some out.

    ``active`` is the level that lights a lamp; ``factory`` a gpiozero pin factory, gpiozero's default one if None.
    Raises :class:`LampsTrouble`, naming lamp and pin, when one cannot be had. Once open a lamp never stops the box:
    when the chip vanishes that is logged once, and :meth:`set` does nothing more.
    """

    def __init__(
        self, pins: Mapping[str, int], active: Literal["low", "high"] = "high", *, factory: Any = None
    ) -> None:
        self._lost = False
        self._lamps: dict[str, Any] = {}
        self._lit: dict[str, bool] = dict.fromkeys(pins, False)
        for name, number in pins.items():
            try:
                self._lamps[name] = DigitalOutputDevice(number, active_high=active == "high", pin_factory=factory)
            except Exception as error:  # each of gpiozero's back-ends raises its own kinds
                self.close()
                raise LampsTrouble(f"lamp {name} on GPIO{number}: {error}") from error

    def set(self, ready: bool, running: bool, attention: bool) -> None:
        """Light the lamps so; only what changes is written."""
        for name, lit in zip(NAMES, (ready, running, attention), strict=True):
            if name in self._lamps and lit is not self._lit[name] and not self._lost:
                self._lit[name] = lit
                self._write(name, lit)

    def close(self) -> None:
        """All off, and let go of the lines; a second call does nothing."""
        self.set(False, False, False)
        for lamp in self._lamps.values():
            lamp.close()
        self._lamps.clear()

    def _write(self, name: str, lit: bool) -> None:
        try:
            self._lamps[name].value = lit
        except Exception as error:  # as above
            self._lost = True
            log.error("the lamps are lost: %s: %s", name, error)
