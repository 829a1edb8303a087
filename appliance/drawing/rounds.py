"""Round things on a 4:3 tube: discs and rings, band-limited along the line, by area down the rows."""

import numpy as np
from numpy.typing import NDArray

from appliance.drawing.area import Area
from appliance.drawing.profiles import Floats
from appliance.drawing.spans import covered, slice_places
from appliance.video.formats import Format

SLICES = 8
"""Level slices a scanned line of a round thing is cut into; a row of an interlaced frame into half as many."""


def chord(radius: float, offset: Floats) -> Floats:
    """Half the chord of a circle at ``offset`` from its centre, 0 outside; all in one unit."""
    half: Floats = np.sqrt(np.maximum(radius**2 - offset**2, 0))
    return half


def ring_rows(
    fmt: Format, centres: Floats, above: float, outer: float, inner: float = 0, *, widen: float = 1, samples: int = 0
) -> Floats:
    """Coverage[n, samples] of the rows that rings touch, one at each sample of ``centres``; discs when ``inner`` is 0.

    The rows are a whole line long unless told. ``outer`` and ``inner`` are diameters in rows. The centres lie
    ``above`` rows (a fraction or more) below the top of the first of the rows. ``widen`` draws them so many times as
    wide as round on a 4:3 tube.
    """
    lines = int(np.ceil(above + outer / 2))
    offset = slice_places(lines, SLICES // fmt.lines_per_row) - above
    far, near = (chord(diameter / 2, offset) * (widen / Area.of(fmt).aspect) for diameter in (outer, inner))
    halves = [(-far, far)] if inner <= 0 else [(-far, -near), (near, far)]
    return covered(
        fmt, [(x + left, x + right) for x in centres for left, right in halves], lines, samples or fmt.samples
    )


def round_grid(fmt: Format, rows: Floats, top: int, pitch: int) -> tuple[Floats, NDArray[np.intp]]:
    """The same ``rows`` at ``top`` and every ``pitch`` rows up and down: distinct rows, and the index of the frame's.

    The pitch is a whole number of rows, so a few distinct rows make the frame; the first is the empty one.
    """
    place = (np.arange(fmt.lines) - top) % pitch
    return np.vstack([np.zeros((1, fmt.samples)), rows]), np.where(place < len(rows), place + 1, 0)


def disc_grid(
    fmt: Format, columns: Floats, first_row: float, pitch: int, diameter: float
) -> tuple[Floats, NDArray[np.intp]]:
    """Distinct rows and index of discs ``diameter`` rows high at ``columns`` × every ``pitch`` rows.

    ``first_row`` is the centre of any one row of discs.
    """
    top = int(np.floor(first_row - diameter / 2))
    return round_grid(fmt, ring_rows(fmt, columns, first_row - top, diameter), top, pitch)
