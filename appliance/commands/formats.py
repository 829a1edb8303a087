"""``fieldmouse formats``: the four scanning formats with their exact figures, as a table or as JSON."""

import sys
from fractions import Fraction
from json import dumps
from typing import Any

from appliance.video.formats import FORMATS, Format
from appliance.video.modeline import Modeline

_COLUMNS = "{:<8}{:>9}{:>7}{:>10}  {:<27}{:<31}{:<22}{}\n"
_HEADINGS = ("format", "samples", "lines", "in field", "lines a second, Hz", "fields a second, Hz", "sample shape")


def run(json: bool) -> int:
    """Write the formats to standard output, as JSON if ``json``; the exit code, 0."""
    sys.stdout.write(f"{dumps([describe(fmt) for fmt in FORMATS.values()], indent=2)}\n" if json else table())
    return 0


def describe(fmt: Format) -> dict[str, Any]:
    """One format as JSON takes it; rates, totals and shape are exact fractions as text ("525/2")."""
    return {
        "name": fmt.name,
        "samples": fmt.samples,
        "lines": fmt.lines,
        "line_total": str(fmt.line_total),
        "line_rate": str(fmt.line_rate),
        "field_rate": str(fmt.field_rate),
        "modeline": describe_modeline(fmt.modeline),
        "pixel_aspect": str(fmt.pixel_aspect),
        "systems": list(fmt.systems),
    }


def describe_modeline(modeline: Modeline) -> dict[str, Any]:
    """The clock in kHz, the eight timings and the flags by name."""
    timings = modeline._asdict()
    interlaced = timings.pop("interlaced")
    return {**timings, "flags": ["interlace"] if interlaced else []}


def table() -> str:
    """The formats for reading: figures first exact, then rounded, and the modeline of each below."""
    rows = "".join(_row(fmt) for fmt in FORMATS.values())
    lines = "".join(_modeline_row(fmt) for fmt in FORMATS.values())
    return f"{_COLUMNS.format(*_HEADINGS, 'systems')}{rows}\nmodelines: kHz, horizontal, vertical\n{lines}"


def _row(fmt: Format) -> str:
    rates = map(_both, (fmt.line_rate, fmt.field_rate))
    shape = _both(fmt.pixel_aspect)
    return _COLUMNS.format(fmt.name, fmt.samples, fmt.lines, str(fmt.line_total), *rates, shape, ", ".join(fmt.systems))


def _both(value: Fraction) -> str:
    """The exact fraction and its decimals; a whole number as it is."""
    return str(value) if value.denominator == 1 else f"{value} = {float(value):.5f}"


def _modeline_row(fmt: Format) -> str:
    mode = fmt.modeline
    horizontal, vertical = (" ".join(map(str, part)) for part in (mode[1:5], mode[5:9]))
    return f"{fmt.name:<8}{mode.clock}  {horizontal}  {vertical}{'  interlace' if mode.interlaced else ''}\n"
