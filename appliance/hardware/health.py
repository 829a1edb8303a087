"""How the board is: too little voltage, too much heat, slowed down. Only the kernel's own files are read, when asked.

Undervoltage: the driver raspberrypi-hwmon names itself ``rpi_volt`` and shows it as ``in0_lcrit_alarm``
(Documentation/hwmon/raspberrypi-hwmon.rst of Linux). Temperature: ``temp`` of the processor's thermal zone, in
thousandths of a degree (Documentation/driver-api/thermal/sysfs-api.rst). Throttling: ``get_throttled`` of the
firmware's node, a hexadecimal word, which only the board maker's own kernels have.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

HOT = 80.0
"""Degrees Celsius from which a Raspberry Pi slows itself down (its documentation, "Frequency management": 80 to 85)."""

UNDERVOLTAGE, SLOWED = 1 << 0, 1 << 1 | 1 << 2 | 1 << 3
"""Bits of ``get_throttled`` for how it is now: undervoltage; frequency capped, throttled, soft temperature limit (the
board's documentation of ``vcgencmd get_throttled``). Bits 16 to 19 tell of the past and stay set: left alone."""

_PROCESSOR = ("cpu-thermal", "cpu_thermal")
"""What the kernel calls the zone of a Pi's processor, new and old."""


@dataclass(frozen=True)
class Health:
    """What could be read; ``None`` for what this machine does not tell. ``slowed``: held back by its own firmware."""

    undervoltage: bool | None
    celsius: float | None
    slowed: bool | None = None

    @property
    def hot(self) -> bool:
        """Whether it is known to be too hot."""
        return self.celsius is not None and self.celsius >= HOT

    @property
    def ill(self) -> bool:
        """Whether anything that was read is wrong."""
        return bool(self.undervoltage) or self.hot or bool(self.slowed)


def read_health(root: Path = Path("/")) -> Health:
    """How the board is now; ``root`` is where ``sys/`` lies. Never raises: a file that cannot be read tells nothing."""
    heat, flags = _number(_zone(root / "sys/class/thermal") / "temp"), _flags(root / "sys/devices/platform/soc")
    low = _alarm(root / "sys/class/hwmon")
    if low is None and flags is not None:
        low = bool(flags & UNDERVOLTAGE)
    return Health(low, None if heat is None else heat / 1000, None if flags is None else bool(flags & SLOWED))


def _zone(folder: Path) -> Path:
    zones = (zone for zone in _inside(folder, "thermal_zone*") if _text(zone / "type") in _PROCESSOR)
    return next(zones, folder / "thermal_zone0")


def _alarm(folder: Path) -> bool | None:
    """The first alarm of the board's own voltage that can be read."""
    for chip in _inside(folder, "*"):
        if _text(chip / "name") == "rpi_volt":
            for alarm in map(_number, _inside(chip, "in*_lcrit_alarm")):
                if alarm is not None:
                    return bool(alarm)
    return None


def _flags(folder: Path) -> int | None:
    for path in _inside(folder, "*/get_throttled"):
        return _number(path, 16)
    return None


def _inside(folder: Path, pattern: str) -> Iterator[Path]:
    try:
        yield from sorted(folder.glob(pattern))
    except OSError:
        return


def _number(path: Path, base: int = 10) -> int | None:
    try:
        return int(_text(path), base)
    except ValueError:
        return None


def _text(path: Path) -> str:
    try:
        return path.read_text("ascii", "replace").strip()[:40]
    except OSError:
        return ""
