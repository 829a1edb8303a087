"""Convergence: dots where the crosshatch crosses."""

from appliance.drawing.colours import BLACK, WHITE, Colour, blend
from appliance.drawing.frames import stack
from appliance.drawing.rounds import disc_grid
from appliance.patterns.catalogue import pattern
from appliance.patterns.grid import Grid
from appliance.patterns.inks import INKS
from appliance.patterns.picture import Picture
from appliance.video.formats import Format

FAMILY = "convergence"

DOT_LINES = 3
"""Height of a dot in scanned lines: small enough to show a fringe, large enough to keep its colour on composite."""

DOTS: dict[str, tuple[str, Colour]] = {
    "white": ("usual", WHITE),
    "fine": ("fine", WHITE),
    **{name: ("usual", ink) for name, ink in INKS.items()},
}


@pattern("dots", FAMILY, "Dots", "Coloured fringes, focus", tuple(DOTS))
def dots(fmt: Format, variant: str) -> Picture:
    """Discs round on the tube, centred where the crosshatch of the same density crosses."""
    density, ink = DOTS[variant]
    grid = Grid.of(fmt, density)
    size = DOT_LINES * fmt.lines_per_row
    shares, index = disc_grid(fmt, grid.columns, float(grid.rows[0]), grid.cell_rows, size)
    return Picture(stack(blend(shares, BLACK, ink), index))
