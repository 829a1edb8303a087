"""What a sheet costs: a visit's page made in a fresh interpreter, over the import of jinja2 in another, in turns."""

import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from statistics import median

from appliance.records.entries import StepState
from appliance.records.store import Store
from tests.records.invented import ROUTE

Row = tuple[str, str, str]

IMPORT = "from time import perf_counter as now; begun = now(); import jinja2; print(now() - begun)"
SHEET = (
    "from time import perf_counter as now; begun = now(); import sys; from appliance.cli import main;"
    " code = main(sys.argv[1:]); print(now() - begun); sys.exit(code)"
)


def _seconds(program: str, *words: str) -> float:
    done = subprocess.run(
        [sys.executable, "-c", program, *words], capture_output=True, text=True, check=True, timeout=120
    )
    return float(done.stdout.split()[-1])


def _kept(folder: Path) -> None:
    """A visit with a finding at each of its steps."""
    store = Store(folder, boot_id="boot", wall=lambda: (0.0, False))
    store.open()
    visit = store.visits.begin("the walnut one", "glance", 0.0, title="A glance", warmth="cold", steps=ROUTE)
    for number, (step, kind) in enumerate(
        zip(ROUTE, ("tilt", "burn-in", "weak-gun", "soft", "sound"), strict=False), 1
    ):
        store.visits.mark_step(visit, number, StepState.LOOKED, 1.0)
        store.visits.add_finding(visit, 1.0, step.key, kind, 2, number)
    store.close()


def made(runs: int = 9) -> Row:
    """From the command's first import to the file."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        _kept(folder)
        words = ("sheet", "1", "-o", str(folder / "sheet.html"), "--state", str(folder))
        pairs = [(_seconds(IMPORT), _seconds(SHEET, *words)) for _ in range(runs)]
    bare, sheets = (median(column) for column in zip(*pairs, strict=True))
    what = f"a sheet made, all imports included, against importing jinja2 ({1000 * bare:.0f} ms)"
    return what, f"{sheets / bare:.1f} x", "<= 25 x"


def rows() -> Iterator[Row]:
    """Each figure with its goal."""
    yield made()
