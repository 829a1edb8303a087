"""Where commands find the records, and the visit that was meant."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from appliance.errors import Refused
from appliance.records.entries import VisitRecord
from appliance.records.store import Store
from appliance.records.surroundings import FILE, boot_id, wall_clock
from appliance.service.early import state_folder
from appliance.settings import load_or_default, own_file

LAST = "last"


@contextmanager
def records(state: Path | None, *, to_write: bool = False) -> Iterator[Store]:
    """The records in ``state``, or those of the box or of this user: for reading beside a running box, or to write.

    Raises :class:`Refused` when ``state`` holds none, and :class:`StoreTrouble` when they cannot be used.
    """
    store = Store(find_records(state), boot_id=boot_id(), wall=wall_clock)
    if to_write:
        store.open()
    else:
        store.open_to_read()
    try:
        yield store
    finally:
        store.close()


def find_visit(store: Store, meant: str) -> VisitRecord:
    """The visit of that number, or the latest one for ``last``. Raises :class:`Refused` naming those there are."""
    if meant == LAST:
        latest = store.visits.last(1)
        number = latest[0].id if latest else None
    else:
        number = int(meant) if meant.isascii() and meant.isdecimal() and len(meant) < 16 else None
    record = None if number is None else store.visits.one(number)
    if record is None:
        there = ", ".join(str(other.id) for other in reversed(store.visits.last(20))) or "none"
        remedy = "`fieldmouse visits` lists them, --state names other records"
        raise Refused(f"visit {meant!r}: not in {store.folder}; there: {there}; {remedy}")
    return record


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
