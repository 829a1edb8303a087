"""What a record costs: a heartbeat's commit against a bare flush of one page on the same disk, in turns."""

import os
import tempfile
from collections.abc import Iterator
from pathlib import Path
from statistics import median, quantiles
from time import perf_counter

from appliance.records.store import Store

Row = tuple[str, str, str]

MEMORY = Path("/dev/shm")  # noqa: S108 # Linux keeps it in memory (shm_overview(7))


def _beats(folder: Path, runs: int) -> tuple[list[float], list[float]]:
    """Seconds of each bare flush and of each heartbeat."""
    store = Store(folder, boot_id="boot", wall=lambda: (0.0, False))
    store.open()
    soak = store.begin_soak("bench", "", "", 0.0)
    bare, beats = list[float](), list[float]()
    handle = os.open(folder / "bare", os.O_RDWR | os.O_CREAT)
    for run in range(runs):
        begun = perf_counter()
        os.pwrite(handle, bytes([run % 256]) * 4096, 0)
        os.fsync(handle)
        between = perf_counter()
        store.heartbeat(soak, 20.0 * run, 20.0 * run, 0, 48.5, False)
        beats.append(perf_counter() - between)
        bare.append(between - begun)
    os.close(handle)
    store.close()
    return bare, beats


def commit(runs: int = 400) -> Row:
    """On the disk of temporary files."""
    with tempfile.TemporaryDirectory() as folder:
        bare, beats = _beats(Path(folder), runs)
    what = f"a heartbeat kept, against a flush of one page ({1000 * median(bare):.2f} ms)"
    return what, f"{median(beats) / median(bare):.2f} x", "<= 3 x"


def held(runs: int = 2000) -> Row:
    """On a disk in memory: how long the loop is held, 99 of 100 times and at most."""
    with tempfile.TemporaryDirectory(dir=MEMORY) as folder:
        _, beats = _beats(Path(folder), runs)
    worst = f"{1000 * quantiles(beats, n=100)[-1]:.2f} / {1000 * max(beats):.2f} ms"
    return "a heartbeat on a disk in memory, 99 of 100 / longest", worst, "99 of 100 <= one field, 16.6 ms"


def rows() -> Iterator[Row]:
    """Each figure with its goal."""
    yield commit()
    if MEMORY.is_dir():
        yield held()
