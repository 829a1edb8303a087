"""GPIO lines of the simulator: pull an input up or down as a key would, read what an output drives."""

import time
from functools import cache
from pathlib import Path

CONFIG = Path("/sys/kernel/config/gpio-sim/pi")


@cache
def _chip(_dev: str) -> Path:
    return Path("/sys/devices/platform") / _dev / (CONFIG / "b/chip_name").read_text().strip()


def _line(number: int) -> Path:
    return _chip((CONFIG / "dev_name").read_text().strip()) / f"sim_gpio{number}"


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
