"""``fieldmouse export``: visits as CSV or JSON."""

import sys
from pathlib import Path

from appliance.commands.kept import find_visit, records
from appliance.commands.output import write_whole
from appliance.findings import load_findings
from appliance.records.exporting import as_csv, as_json


def run(meant: list[str], out: Path | None, state: Path | None, *, json: bool) -> int:
    """Write the visits meant, or all, to the file ``out`` or to standard output; 0. Raises :class:`Refused`."""
    with records(state) as store:
        names = meant or [str(record.id) for record in reversed(store.visits.last())]
        found = [find_visit(store, name) for name in names]
    kinds = load_findings().kinds
    text = as_json(found, kinds) + "\n" if json else as_csv(found, kinds)
    if out is None:
        sys.stdout.write(text.replace("\r\n", "\n"))
    else:
        write_whole(out, lambda file: file.write(text.encode("utf-8")))
    return 0
