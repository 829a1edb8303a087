"""The wires of keys and lamps, drawn from the settings: ``python -m appliance.install.wiring [SETTINGS]``.

The header's order is the same on every board of 40 pins (Raspberry Pi documentation, "GPIO and the 40-pin header").
"""

import sys
from collections.abc import Mapping
from pathlib import Path

from appliance.errors import Refused
from appliance.settings import Settings, load
from appliance.settings.checks import used_pins

HEADER: tuple[str | int, ...] = (
    "3.3 V", "5 V", 2, "5 V", 3, "ground", 4, 14, "ground", 15, 17, 18, 27, "ground", 22, 23, "3.3 V", 24, 10, "ground",
    9, 25, 11, 8, "ground", 7, 0, 1, 5, "ground", 6, 12, 13, "ground", 19, 16, 26, 20, "ground", 21,
)  # fmt: skip
"""What each pin of the header is, from pin 1 on: a GPIO line by its BCM number, or a supply."""


def draw_header(settings: Settings) -> str:
    """The header as text, pin 1 at the top left, each line in use marked with what it is for."""
    uses = {pin: _purpose(place) for place, pin in used_pins(settings)}
    rows = [_row(number, uses) for number in range(1, len(HEADER), 2)]
    return "\n".join(row.rstrip() for row in rows) + "\n"


def draw_table(settings: Settings) -> str:
    """A table of what is wired where, as Markdown."""
    lines = ["| what | GPIO | pin of the header |", "|---|---|---|"]
    lines += [f"| {_purpose(place)} | {pin} | {HEADER.index(pin) + 1} |" for place, pin in used_pins(settings)]
    return "\n".join(lines) + "\n"


def _purpose(place: tuple[str, ...]) -> str:
    """What a place in the settings is for: ``lamp ready``, ``key go``, ``pad row 2``."""
    kinds = {"lamps": "lamp", "single": "key", "rows": "pad row", "columns": "pad column"}
    return f"{kinds[place[-2]]} {place[-1]}"


def _row(number: int, uses: Mapping[int, str]) -> str:
    left, right = HEADER[number - 1], HEADER[number]
    dots = f"{number:>2} {_dot(left, uses)} {_dot(right, uses)} {number + 1:<2}"
    return f"{_label(left, uses):>26}  {dots}  {_label(right, uses)}"


def _dot(pin: str | int, uses: Mapping[int, str]) -> str:
    return "●" if pin in uses else "○"


def _label(pin: str | int, uses: Mapping[int, str]) -> str:
    if isinstance(pin, str):
        return pin
    return f"{uses[pin]} = GPIO {pin}" if pin in uses else ""


def main(arguments: list[str]) -> int:
    """Print the drawing for a settings file, or for the settings that ship; 2 when the file is refused."""
    try:
        settings = load(Path(arguments[0])) if arguments else load()
    except Refused as error:
        sys.stderr.write(f"{error}\n")
        return 2
    sys.stdout.write(f"{draw_header(settings)}\n{draw_table(settings)}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
