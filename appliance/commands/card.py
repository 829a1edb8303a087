"""``fieldmouse card``: a pocket card of this box's keys, lamps and a route, to be printed."""

from pathlib import Path

from appliance.commands.output import write_whole
from appliance.records.card import as_page
from appliance.routes import find_route
from appliance.settings import load, own_file


def run(out: Path, route: str, settings: Path | None) -> int:
    """Write the card to the file ``out``; 0.

    Raises :class:`Refused` for wrong settings, an unknown route, a place that cannot be written.
    """
    page = as_page(load(settings or own_file()), find_route(route))
    write_whole(out, lambda file: file.write(page.encode("utf-8")))
    return 0
