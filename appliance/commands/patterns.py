"""``fieldmouse patterns``: what there is to show."""

import json as jsons
import sys
from typing import Any

from appliance.patterns.catalogue import Pattern, catalogue


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


def _table(entries: list[Pattern]) -> str:
    """One line a pattern, the variants on lines of their own below it."""
    lines = []
    for entry in entries:
        marks = ", ".join(mark for mark, given in (("moving", entry.moving), ("timed", entry.timed)) if given)
        lines.append(f"{entry.key:<18}{entry.family:<13}{entry.shows:<30}{marks}".rstrip())
        lines.append(f"{'':<18}{'  '.join(entry.variants)}")
    return "\n".join(lines)


def run(json: bool) -> int:
    """Print the catalogue in its order, as a table or as a JSON list; 0."""
    entries = list(catalogue().values())
    text = jsons.dumps([_row(entry) for entry in entries], indent=2) if json else _table(entries)
    sys.stdout.write(text + "\n")
    return 0
