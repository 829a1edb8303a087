"""How long pictures take to draw, in passes of one float32 multiply-add over a frame of 480 lines."""

from collections.abc import Callable
from statistics import median
from time import process_time

import numpy as np

from appliance.patterns.catalogue import catalogue
from appliance.video.formats import FORMATS, Format

FORMAT = FORMATS["480i"]


def _seconds(work: Callable[[], object], times: int) -> float:
    """Least processor time of so many runs: what others do at the same time is left out."""

    def once() -> float:
        start = process_time()
        work()
        return process_time() - start

    return min(once() for _ in range(times))


def unit() -> float:
    """Seconds of one multiply-add pass, in place over a frame of float32."""
    rng = np.random.default_rng(1)
    frame, other = rng.random((2, FORMAT.lines, FORMAT.samples), dtype=np.float32)
    out = np.empty_like(frame)

    def work() -> None:
        np.multiply(frame, other, out=out)
        np.add(out, frame, out=out)

    return _seconds(work, 200)


def costs(fmt: Format) -> dict[str, float]:
    """``key:variant`` → units, of every still picture."""
    one = unit()
    return {
        f"{key}:{variant}": _seconds(lambda entry=entry, variant=variant: entry.draw(fmt, variant), 9) / one  # type: ignore[misc] # bound early
        for key, entry in catalogue().items()
        if not entry.moving
        for variant in entry.variants
    }


def rows() -> list[tuple[str, str, str]]:
    """What, measured, goal."""
    units = costs(FORMAT)
    slowest = max(units, key=units.__getitem__)
    return [
        ("drawing: unit, a float32 multiply-add pass", f"{unit() * 1e3:.2f} ms", "—"),
        (f"drawing: median of {len(units)} still pictures", f"{median(units.values()):.1f} units", "≤ 12 units"),
        (f"drawing: worst, {slowest}", f"{units[slowest]:.1f} units", "≤ 60 units"),
    ]
