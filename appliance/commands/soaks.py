"""``fieldmouse soaks``: the soaks that were kept."""

import json as jsons
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from appliance.activities.soak_plan import clock
from appliance.commands.kept import records
from appliance.records.entries import SoakRecord
from appliance.records.report_facts import printable
from appliance.records.report_time import Course, sane


def run(state: Path | None, *, json: bool) -> int:
    """Print the soaks in the records, the latest first, as a table or as JSON; 0.

    Raises :class:`Refused` when ``state`` is named and holds no records, or when they cannot be read.
    """
    with records(state) as store:
        kept = store.soaks()
    if json:
        text = jsons.dumps([_described(record) for record in kept], indent=2, ensure_ascii=False)
    else:
        text = (
            "\n".join(_table(kept)) if kept else f"no soak has been kept in {store.folder}; --state names other records"
        )
    sys.stdout.write(text + "\n")
    return 0


def _described(record: SoakRecord) -> dict[str, Any]:
    course = Course(record)
    return {
        "number": record.id,
        "name": printable(record.name),
        "title": printable(record.title),
        "begun": course.when(record.begun),
        "ended": course.when(record.ended) if record.ended else None,
        "how": printable(record.how) if record.ended else None,
        "alive_seconds": sane(record.alive.elapsed) if record.alive else None,
    }


def _table(kept: list[SoakRecord]) -> Iterator[str]:
    rows = [("number", "begun", "soak", "how")]
    for record in kept:
        rows.append((str(record.id), Course(record).when(record.begun), printable(record.name), _how(record)))
    widths = [max(map(len, column)) + 2 for column in zip(*rows, strict=True)]
    for row in rows:
        yield "".join(f"{text:<{width}}" for text, width in zip(row, widths, strict=True)).rstrip()


def _how(record: SoakRecord) -> str:
    if record.ended:
        return printable(record.how) or "ended"
    return f"not ended, alive at {clock(sane(record.alive.elapsed))}" if record.alive else "not ended"
