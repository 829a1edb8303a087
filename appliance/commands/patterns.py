"""``fieldmouse patterns``: what there is to show."""

import json as jsons
import sys
from textwrap import wrap
from typing import Any

from appliance.patterns.average import average_level
from appliance.patterns.catalogue import Pattern, catalogue
from appliance.patterns.registry import STANDS
from appliance.video.formats import FORMATS


def _row(entry: Pattern) -> dict[str, Any]:
    return {
        "key": entry.key,
        "family": entry.family,
        "title": entry.title,
        "variants": list(entry.variants),
        "moving": entry.moving,
        "timed": entry.timed,
        "shows": entry.shows,
    }


_COLUMNS = "{:<18}{:<12}{:<29}{:>6}{:>6}  {}"
_HEADINGS = ("key", "family", "look for", "signal", "light", "and")
_LEGEND = (
    "Signal and light: the usual variant's average over its picture and its time in 240p, in percent of full white.\n"
    "Rest: how long its bright variants may stand before the box dims them, to spare the tube. Every other picture\n"
    f"goes to half its signal after {STANDS / 60:.0f} minutes without a key, but for those that stay."
)


def _table(entries: list[Pattern]) -> str:
    """One line a pattern, the variants on lines of their own below it."""
    lines = [_COLUMNS.format(*_HEADINGS)]
    for entry in entries:
        average = average_level(FORMATS["240p"], entry.draw(FORMATS["240p"], entry.variants[0]))
        numbers = f"{average.signal:.0f}", f"{average.light:.0f}"
        lines.append(_COLUMNS.format(entry.key, entry.family, entry.shows, *numbers, ", ".join(_marks(entry))).rstrip())
        lines += wrap("  ".join(entry.variants), 100, initial_indent=" " * 18, subsequent_indent=" " * 18)
    return "\n".join([*lines, "", _LEGEND])


def _marks(entry: Pattern) -> list[str]:
    given = (
        (entry.moving, "moving"),
        (entry.timed, "timed"),
        (entry.sounding, "sounding"),
        (bool(entry.caution), "caution"),
    )
    rest = [f"rest {entry.rest:.0f} s"] if entry.rest else [] if entry.stands else ["stays"]
    return [mark for there, mark in given if there] + rest


def run(json: bool) -> int:
    """Print the catalogue in its order, as a table or as a JSON list; 0."""
    entries = list(catalogue().values())
    text = jsons.dumps([_row(entry) for entry in entries], indent=2) if json else _table(entries)
    sys.stdout.write(text + "\n")
    return 0
