"""``fieldmouse visits``: the visits that were kept; and one deleted, after it was asked for twice."""

import json as jsons
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TextIO

from appliance.commands.kept import find_visit, records
from appliance.errors import Refused
from appliance.records import saying
from appliance.records.entries import VisitRecord
from appliance.records.exporting import summary


def run(state: Path | None, *, json: bool) -> int:
    """Print the visits, the latest first, as a table or as JSON; 0. Raises :class:`Refused` as the records do."""
    with records(state) as store:
        kept = store.visits.last()
        if json:
            text = jsons.dumps([summary(record) for record in kept], indent=2, ensure_ascii=False)
        else:
            text = "\n".join(_table(kept)) if kept else f"no visit has been kept in {store.folder}"
    sys.stdout.write(text + "\n")
    return 0


def delete(state: Path | None, meant: str, typed: TextIO) -> int:
    """Delete a visit once its number was ``typed`` again; 0. Raises :class:`Refused` when it was not, and as above."""
    with records(state) as store:
        record = find_visit(store, meant)
    sys.stdout.write(
        f"Visit {record.id}, {saying.label(record)}, {saying.when(record)}, with {len(record.noted)} findings "
        f"will be gone for good.\nType its number again to delete it: "
    )
    sys.stdout.flush()
    if typed.readline().strip() != str(record.id):
        raise Refused(f"visit {record.id}: kept, since its number was not typed again")
    with records(state, to_write=True) as store:
        store.visits.delete(record.id, 0.0)
    sys.stdout.write(f"visit {record.id} is deleted; no other visit gets its number\n")
    return 0


def _table(kept: list[VisitRecord]) -> Iterator[str]:
    rows = [("visit", "begun", "set", "route", "noted", "")]
    for record in kept:
        said = (saying.when(record), _short(saying.label(record)), saying.route(record), str(len(record.noted)))
        rows.append((str(record.id), *said, saying.ending(record)))
    widths = [max(map(len, column)) + 2 for column in zip(*rows, strict=True)]
    for row in rows:
        yield "".join(f"{text:<{width}}" for text, width in zip(row, widths, strict=True)).rstrip()


def _short(words: str) -> str:
    return words if len(words) <= 24 else f"{words[:23]}…"
