"""Geometry: crosshatch, standing and moving."""

from typing import NamedTuple

import numpy as np

from appliance.drawing.colours import BLACK, WHITE, Colour
from appliance.drawing.frames import crossed
from appliance.drawing.profiles import half_amplitude, horizontals, verticals
from appliance.patterns.grid import Grid
from appliance.patterns.inks import INKS, LINES_BLUR
from appliance.patterns.picture import Picture, Way
from appliance.patterns.registry import pattern
from appliance.video.formats import Format

FAMILY = "geometry"


class _Look(NamedTuple):
    density: str
    under: Colour
    over: Colour


CROSSHATCHES: dict[str, _Look] = {
    "white": _Look("usual", BLACK, WHITE),
    "fine": _Look("fine", BLACK, WHITE),
    "coarse": _Look("coarse", BLACK, WHITE),
    "inverse": _Look("usual", WHITE, BLACK),
    "fine-inverse": _Look("fine", WHITE, BLACK),
    **{name: _Look("usual", BLACK, ink) for name, ink in INKS.items()},
}


@pattern(
    "crosshatch",
    FAMILY,
    "Crosshatch",
    "Square cells, straight lines",
    tuple(CROSSHATCHES),
    rest=60,
    bright=frozenset({"inverse", "fine-inverse"}),
    dimmed="white",
    hints=LINES_BLUR,
    finds=(
        "tilt",
        "off-centre",
        "narrow",
        "pincushion",
        "bow",
        "trapezium",
        "skew",
        "field-near",
        "v-fold",
        "v-half",
        "conv-centre",
        "conv-edge",
    ),
)
def crosshatch(fmt: Format, variant: str) -> Picture:
    """Square cells about a crossing at the centre; verticals 2T wide, horizontals one scanned line."""
    look = CROSSHATCHES[variant]
    grid = Grid.of(fmt, look.density)
    across = verticals(grid.columns, fmt.samples, half_amplitude(fmt))
    down = horizontals(grid.rows, grid.thickness, fmt.lines)
    return Picture(crossed(across, down, look.under, look.over))


MOVING_CELLS: dict[str, tuple[int, int]] = {"525": (66, 30), "625": (66, 36)}
"""Cell of the moving crosshatch in whole samples and scanned lines: square within 0.3 %, an eighth of the picture."""

MOTIONS: dict[str, tuple[int, int]] = {"across": (-2, 0), "down": (0, -1), "slantwise": (-2, -1)}
"""How the window goes in a field, in samples and scanned lines; the picture goes the other way, right and down."""


@pattern(
    "moving-crosshatch",
    FAMILY,
    "Moving crosshatch",
    "Cells keep their size",
    tuple(MOTIONS),
    moving=True,
    caution=("Moving stripes can trigger", "seizures · go starts"),
    finds=("lin-v", "lin-h"),
)
def moving_crosshatch(fmt: Format, variant: str) -> Picture:
    """A crosshatch of whole samples and rows, one cell larger than the format, under a window of constant pace."""
    cell, cell_lines = MOVING_CELLS[fmt.line_system.name]
    thickness = fmt.lines_per_row
    cell_rows = cell_lines * thickness
    samples, lines = fmt.samples + cell, fmt.lines + cell_rows
    columns = np.arange(0, samples + cell, cell, dtype=float)
    rows = np.arange(0, lines + cell_rows, cell_rows) + thickness / 2
    across = verticals(columns, samples, half_amplitude(fmt))
    down = horizontals(rows, thickness, lines)
    dx, dy = MOTIONS[variant]
    return Picture(crossed(across, down, BLACK, WHITE), Way(dx, dy * thickness, cell, cell_rows))
