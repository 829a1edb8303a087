"""The grid that crosshatches and dots share.

Cells are as high as a whole number of scanned lines, so that every horizontal lies in whole rows and is equally
sharp; their width follows from the exact pixel aspect, so that they are square. A crossing lies at the centre of
the picture, where static convergence is judged, and the grid is symmetrical about it. The usual cell makes 12 × 9
of the 4:3 picture; the coarse one has twice its side, so its lines are every second of the usual ones.

In the progressive formats the frame's middle falls between two rows; the whole grid then sits half a row higher
than the exact middle rather than smear every horizontal over two rows.
"""

from dataclasses import dataclass

import numpy as np

from appliance.drawing.area import Area
from appliance.drawing.profiles import Floats
from appliance.video.formats import Format

CELL_LINES: dict[str, dict[str, int]] = {
    "usual": {"525": 27, "625": 32},
    "fine": {"525": 16, "625": 19},
    "coarse": {"525": 54, "625": 64},
}
"""Height of a cell in scanned lines of a field, by density and line system: 1/9, 1/15.2 and 1/4.5 of the picture."""


def middle_row(fmt: Format) -> float:
    """The place nearest the frame's middle where a horizontal one scanned line thick covers whole rows."""
    return fmt.lines / 2 - (fmt.lines_per_row % 2) / 2


@dataclass(frozen=True)
class Grid:
    """Where lines cross, in samples and rows of the frame."""

    columns: Floats
    rows: Floats
    cell_rows: int
    thickness: int
    """Rows of one scanned line: what a horizontal is thick."""

    @classmethod
    def of(cls, fmt: Format, density: str) -> "Grid":
        """The grid of a density of :data:`CELL_LINES`."""
        area, thickness = Area.of(fmt), fmt.lines_per_row
        cell_rows = CELL_LINES[density][fmt.line_system.name] * thickness
        return cls(
            _places(area.centre_x, cell_rows / area.aspect, fmt.samples),
            _places(middle_row(fmt), cell_rows, fmt.lines),
            cell_rows,
            thickness,
        )


def _places(centre: float, pitch: float, extent: int) -> Floats:
    before, after = int(centre // pitch), int((extent - centre) // pitch)
    return centre + np.arange(-before, after + 1) * pitch
