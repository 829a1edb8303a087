"""``fieldmouse compare``: visits side by side."""

import sys
from collections.abc import Iterator, Sequence
from itertools import zip_longest
from pathlib import Path
from textwrap import wrap

from appliance.commands.kept import find_visit, records
from appliance.errors import Refused
from appliance.records.comparing import Comparison, Row, compare
from appliance.records.judged import Knowledge

NAME, CELL, MOST = 24, 18, 6


def run(meant: Sequence[str], state: Path | None) -> int:
    """Print the visits side by side; 0.

    Raises :class:`Refused` for fewer than two or more than :data:`MOST`, one named twice, one that there is not.
    """
    if not 2 <= len(meant) <= MOST:
        raise Refused(f"compare: {len(meant)} visits; name two to {MOST}")
    with records(state) as store:
        found = [find_visit(store, name) for name in meant]
    if len({record.id for record in found}) < len(found):
        raise Refused(f"compare {' '.join(meant)}: one visit is named twice; name each once")
    sys.stdout.write("\n".join(_lines(compare(found, Knowledge.load()))) + "\n")
    return 0


def _lines(comparison: Comparison) -> Iterator[str]:
    for row in comparison.head:
        yield from _row(row)
    yield ""
    for row in comparison.faults:
        yield from _row(row)
    if not comparison.faults:
        yield "Nothing was noted in any of them."
    yield ""
    yield from comparison.warnings


def _row(row: Row) -> Iterator[str]:
    columns = [wrap(row.name, NAME - 2), *(wrap(cell, CELL - 2) for cell in row.cells)]
    for parts in zip_longest(*columns, fillvalue=""):
        yield (f"{parts[0]:<{NAME}}" + "".join(f"{part:<{CELL}}" for part in parts[1:])).rstrip()
