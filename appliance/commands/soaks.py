"""``fieldmouse soaks``: the soaks that were kept; and where every command finds the records."""

import json as jsons
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from appliance.activities.soak_plan import clock
from appliance.errors import Refused
from appliance.records.database import FILE
from appliance.records.entries import SoakRecord
from appliance.records.report_facts import printable
from appliance.records.report_time import Course, sane
from appliance.records.store import Store
from appliance.records.surroundings import boot_id, wall_clock
from appliance.service.early import state_folder
from appliance.settings import load_or_default, own_file


def run(state: Path | None, *, json: bool) -> int:
    """Print the soaks in the records, the latest first, as a table or as JSON; 0.

    Raises :class:`Refused` when ``state`` is named and holds no records, or when they cannot be read.
    """
    with records(state) as store:
        kept = store.soaks()
    if json:
        text = jsons.dumps([_described(record) for record in kept], indent=2, ensure_ascii=False)
    else:
        text = "\n".join(_table(kept)) if kept else f"no soak has been kept in {store.folder}"
    sys.stdout.write(text + "\n")
    return 0


@contextmanager
def records(state: Path | None) -> Iterator[Store]:
    """The records in ``state``, or those of the box or of this user, open for reading beside a running box.

    Raises :class:`Refused` when ``state`` holds none, and :class:`StoreTrouble` when they cannot be read.
    """
    store = Store(find_records(state), boot_id=boot_id(), wall=wall_clock)
    store.open_to_read()
    try:
        yield store
    finally:
        store.close()


def find_records(state: Path | None) -> Path:
    """The folder named, else the box's own, else the user's own for the box in a window: the first that has records."""
    if state is not None:
        if not _has_records(state):
            raise Refused(f"{state}: holds no {FILE}; name the folder in which the box keeps its records with --state")
        return state
    box, user = Path(state_folder("kms")), Path(state_folder("window"))
    if box == Path("/var/lib/fieldmouse"):  # what the settings may have moved
        box = load_or_default(own_file())[0].folders.state
    return next((folder for folder in (box, user) if _has_records(folder)), box)


def _has_records(folder: Path) -> bool:
    try:
        return (folder / FILE).is_file()
    except OSError:
        return True  # hidden from this user: opening it will say so


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
