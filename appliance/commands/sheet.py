"""``fieldmouse sheet``: the sheet of a visit as a page."""

from pathlib import Path

from appliance.commands.kept import find_visit, records
from appliance.commands.output import write_whole
from appliance.records.judged import Knowledge
from appliance.records.sheet import as_page


def run(meant: str, out: Path, state: Path | None) -> int:
    """Write the sheet of a visit to the file ``out``; 0.

    Raises :class:`Refused` for a visit that there is not, records that cannot be read, a place that cannot be written.
    """
    with records(state) as store:
        record = find_visit(store, meant)
    page = as_page(record, Knowledge.load())
    write_whole(out, lambda file: file.write(page.encode("utf-8")))
    return 0
