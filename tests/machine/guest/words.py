"""What the helper can be asked."""

import time
from base64 import b64decode, b64encode
from collections.abc import Callable
from pathlib import Path
from typing import Any

from . import gpio_lines, pad, picture, plays, scanout, tasks


def read(path: str) -> str:
    """A file's bytes in base 64."""
    return b64encode(Path(path).read_bytes()).decode()


def write(path: str, data: str, mode: int = 0o644) -> None:
    """Write a file from base 64, its folder too."""
    Path(path).parent.mkdir(parents=True, exist_ok=True)
    Path(path).write_bytes(b64decode(data))
    Path(path).chmod(mode)


WORDS: dict[str, Callable[..., Any]] = {
    "now": time.monotonic,
    "run": tasks.run,
    "read": read,
    "write": write,
    "press": gpio_lines.press,
    "release": gpio_lines.release,
    "lamp": gpio_lines.lamp,
    "lamps": lambda lines: [gpio_lines.lamp(line) for line in lines],
    "chip": gpio_lines.chip,
    "plug": pad.plug,
    "unplug": pad.unplug,
    "play": plays.play,
    "scanout": scanout.scanout,
    "fields": scanout.fields,
    "connector": scanout.connector,
    "try_modes": picture.try_modes,
    "flips": picture.flips,
    "hold": picture.hold,
    "change_tv_mode": picture.change_tv_mode,
    "let_go": picture.let_go,
    "unit": tasks.unit,
    "cost": tasks.cost,
    "journal": tasks.journal,
    "boot_times": tasks.boot_times,
}
