"""``fieldmouse visits``: the visits that were kept; one named; and one deleted, after it was asked for twice."""

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
from appliance.records.visits import LONGEST


def run(state: Path | None, *, json: bool) -> int:
    """Print the visits, the latest first, as a table or as JSON; 0. Raises :class:`Refused` as the records do."""
    with records(state) as store:
        kept = store.visits.last()
        if json:
            text = jsons.dumps([summary(record) for record in kept], indent=2, ensure_ascii=False)
        else:
            text = (
                "\n".join(_table(kept))
                if kept
                else f"no visit has been kept in {store.folder}; --state names other records"
            )
    sys.stdout.write(text + "\n")
    return 0


def delete(state: Path | None, meant: str, typed: TextIO) -> int:
    """Delete a visit once its number was ``typed`` again; 0. Raises :class:`Refused` when it was not, and as above."""
    with records(state) as store:
        record = find_visit(store, meant)
    sys.stdout.write(
        f"Visit {record.id}, {saying.label(record)}, {saying.when(record)}, with {_findings(record)} "
        f"will be gone for good.\nType its number again to delete it: "
    )
    sys.stdout.flush()
    if typed.readline().strip() != str(record.id):
        raise Refused(f"visit {record.id}: kept, since its number was not typed again")
    with records(state, to_write=True) as store:
        store.visits.delete(record.id, 0.0)
    sys.stdout.write(f"visit {record.id} is deleted; no other visit gets its number\n")
    return 0


def name(state: Path | None, meant: str, called: str) -> int:
    """Call a visit's set ``called`` from now on, on its sheet and wherever else it is told; 0. An empty one takes the
    name away.

    Raises :class:`Refused` for a visit that there is not, a name longer than :data:`LONGEST`, as the records do.
    """
    called = saying.plain(called)
    if len(called) > LONGEST:
        long = f"{called[:23]}… has {len(called)} letters, {LONGEST} are the most"
        raise Refused(f"visits --name {meant}: {long}; shorten the name")
    with records(state) as store:
        before = find_visit(store, meant)
    with records(state, to_write=True) as store:
        store.visits.describe(before.id, label=called)
        after = find_visit(store, str(before.id))
    sys.stdout.write(f"visit {after.id}: {saying.label(after)} (before: {saying.label(before)})\n")
    return 0


def _findings(record: VisitRecord) -> str:
    return f"{len(record.noted)} finding{'' if len(record.noted) == 1 else 's'}"


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
