"""How the board is: too little voltage, too much heat. Only the kernel's own files are read; nothing is asked to act.

Undervoltage: the driver raspberrypi-hwmon names itself ``rpi_volt`` and shows it as ``in0_lcrit_alarm``
(Documentation/hwmon/raspberrypi-hwmon.rst of Linux). Temperature: ``thermal_zone0/temp`` in thousandths of a degree
(Documentation/driver-api/thermal/sysfs-api.rst).
"""

from dataclasses import dataclass
from pathlib import Path

HOT = 80.0
"""Degrees Celsius from which a Raspberry Pi slows itself down (its documentation, "Frequency management": 80 to 85)."""


@dataclass(frozen=True)
class Health:
    """What could be read; ``None`` for what this machine does not tell."""

    undervoltage: bool | None
    celsius: float | None

    @property
    def ill(self) -> bool:
        """Whether anything that was read is wrong."""
        return bool(self.undervoltage) or (self.celsius is not None and self.celsius >= HOT)


def read_health(root: Path = Path("/")) -> Health:
    """How the board is now; ``root`` is where ``sys/`` lies. Never raises: a file that cannot be read tells nothing."""
    heat = _number(root / "sys/class/thermal/thermal_zone0/temp")
    return Health(_undervoltage(root / "sys/class/hwmon"), None if heat is None else heat / 1000)


def _undervoltage(folder: Path) -> bool | None:
    try:
        chips = sorted(folder.iterdir())
    except OSError:
        return None
    alarms = [_number(chip / "in0_lcrit_alarm") for chip in chips if _text(chip / "name") == "rpi_volt"]
    return bool(alarms[0]) if alarms and alarms[0] is not None else None


def _number(path: Path) -> int | None:
    text = _text(path)
    return int(text) if text.removeprefix("-").isdecimal() else None


def _text(path: Path) -> str:
    try:
        return path.read_text("ascii", "replace").strip()
    except OSError:
        return ""
