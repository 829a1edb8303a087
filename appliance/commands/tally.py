"""``fieldmouse tally``: the short form of a visit, as its codes on the screen carry it."""

import sys
from pathlib import Path

from appliance.commands.kept import find_visit, records
from appliance.findings import load_findings
from appliance.records.tally import tally_pages


def run(meant: str, state: Path | None) -> int:
    """Print the pages of a visit's tally; 0. Raises :class:`Refused` for a visit that there is not."""
    with records(state) as store:
        record = find_visit(store, meant)
    sys.stdout.write("\n\n".join(tally_pages(record, load_findings().kinds)) + "\n")
    return 0
