"""GPIO lines of the simulator: pull an input up or down as a key would, read what an output drives."""

import time
from pathlib import Path

CONFIG = Path("/sys/kernel/config/gpio-sim/pi")


def _line(number: int) -> Path:
    # Looked up each time: a chip that comes back has another name while somebody still holds the old one.
    device, chip = ((CONFIG / name).read_text().strip() for name in ("dev_name", "b/chip_name"))
    return Path("/sys/devices/platform") / device / chip / f"sim_gpio{number}"


def pull(number: int, up: bool) -> list[float]:
    """Pull a line; monotonic seconds before and after it was done."""
    before = time.monotonic()
    (_line(number) / "pull").write_text("pull-up" if up else "pull-down")
    return [before, time.monotonic()]


def press(key: int) -> list[float]:
    """A key to earth goes down: its line is pulled down."""
    return pull(key, up=False)


def release(key: int) -> list[float]:
    """A key to earth goes up: its pull-up resistor wins."""
    return pull(key, up=True)


def lamp(line: int) -> bool:
    """Whether the line is driven high."""
    return (_line(line) / "value").read_text().strip() == "1"


def chip(there: bool) -> None:
    """Take the whole chip away, or bring it back."""
    (CONFIG / "live").write_text("1" if there else "0")
