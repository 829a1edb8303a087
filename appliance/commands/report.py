"""``fieldmouse report``: the sheet of a soak, as a page or as JSON."""

import sys
from pathlib import Path

from appliance.commands.kept import records
from appliance.commands.output import write_whole
from appliance.errors import Refused
from appliance.hardware.health import HOT
from appliance.records.entries import SoakRecord
from appliance.records.report import as_json, as_page
from appliance.records.store import Store

LAST = "last"


def run(soak: str, out: Path | None, state: Path | None, *, json: bool) -> int:
    """Write the sheet of ``soak`` to the file ``out``; JSON goes to standard output without one; 0.

    Raises :class:`Refused` for a soak that there is not, records that cannot be read, a place that cannot be written.
    """
    if out is None and not json:
        raise Refused(f"report {soak}: -o FILE.html is missing, where the page goes; or --json, to print it as that")
    with records(state) as store:
        record = _find(soak, store)
    text = as_json(record) + "\n" if json else as_page(record, HOT)
    if out is None:
        sys.stdout.write(text)
    else:
        write_whole(out, lambda file: file.write(text.encode("utf-8")))
    return 0


def _find(soak: str, store: Store) -> SoakRecord:
    """The soak of that number, or the latest of that name; ``last`` is the latest of all."""
    kept = store.soaks()
    numbers = [record.id for record in kept if _is_meant(soak, record)]
    record = store.soak(numbers[0]) if numbers else None
    if record is None:
        remedy = "`fieldmouse soaks` lists them, --state names other records"
        raise Refused(f"soak {soak!r}: not in {store.folder}; {_there(kept)}; {remedy}")
    return record


def _there(kept: list[SoakRecord]) -> str:
    if not kept:
        return "there are none"
    return f"there are {kept[-1].id} to {kept[0].id}" if len(kept) > 1 else f"there is only {kept[0].id}"


def _is_meant(soak: str, record: SoakRecord) -> bool:
    return soak == str(record.id) if soak.isdecimal() else soak in (LAST, record.name)
