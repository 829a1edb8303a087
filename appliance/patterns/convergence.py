"""Convergence: dots where the crosshatch crosses, clusters of them, blocks and horizontals of the three guns."""

import numpy as np

from appliance.drawing.area import Area
from appliance.drawing.colours import BLACK, BLUE, GREEN, RED, WHITE, Colour, blend
from appliance.drawing.frames import Part, composed, levels, stack
from appliance.drawing.profiles import half_amplitude, rows_covered, span
from appliance.drawing.rounds import disc_grid, ring_rows
from appliance.patterns.grid import Grid, middle_row
from appliance.patterns.inks import DOTS_BLUR, INKS
from appliance.patterns.picture import Picture
from appliance.patterns.registry import pattern
from appliance.video.formats import Format

FAMILY = "convergence"

DOT_LINES = 3
"""Height of a dot in scanned lines: small enough to show a fringe, large enough to keep its colour on composite."""

DOTS: dict[str, tuple[str, Colour]] = {
    "white": ("usual", WHITE),
    "fine": ("fine", WHITE),
    **{name: ("usual", ink) for name, ink in INKS.items()},
}


@pattern(
    "dots",
    FAMILY,
    "Dots",
    "Coloured fringes, focus",
    tuple(DOTS),
    hints=DOTS_BLUR,
    finds=("conv-centre", "conv-edge", "soft", "soft-warm"),
)
def dots(fmt: Format, variant: str) -> Picture:
    """Discs round on the tube, centred where the crosshatch of the same density crosses."""
    density, ink = DOTS[variant]
    grid = Grid.of(fmt, density)
    size = DOT_LINES * fmt.lines_per_row
    shares, index = disc_grid(fmt, grid.columns, float(grid.rows[0]), grid.cell_rows, size)
    return Picture(stack(blend(shares, BLACK, ink), index))


CLUSTER_LINES = {"525": 10, "625": 12}
"""Scanned lines from dot to dot within a cluster."""

CLUSTER_PLACES = (0.15, 0.5, 0.85)
"""Where clusters are centred, in shares of the exact picture's width and height: middle, edges and corners."""


@pattern(
    "clusters",
    FAMILY,
    "Dot clusters",
    "Focus, fringes by place",
    ("white", *INKS),
    hints=DOTS_BLUR,
    finds=("conv-corner", "conv-edge", "soft"),
)
def clusters(fmt: Format, variant: str) -> Picture:
    """Nine clusters of five by five dots: in the middle, at the edges and in the corners that a set still shows."""
    area, size = Area.of(fmt), DOT_LINES * fmt.lines_per_row
    pitch = CLUSTER_LINES[fmt.line_system.name] * fmt.lines_per_row
    near = np.arange(-2, 3) * pitch
    columns = np.concatenate([area.x(share) + near / area.aspect for share in CLUSTER_PLACES])
    above = size / 2 + 0.5
    rows = ring_rows(fmt, columns, above, size)
    index = np.zeros(fmt.lines, dtype=np.intp)
    for share in CLUSTER_PLACES:
        middle = middle_row(fmt) + round((share - 0.5) * area.height)
        for centre in middle + near:
            top = round(centre - above)
            index[top : top + len(rows)] = np.arange(1, len(rows) + 1)
    ink = INKS.get(variant, WHITE)
    return Picture(stack(blend(np.vstack([np.zeros((1, fmt.samples)), rows]), BLACK, ink), index))


GUNS = (RED, GREEN, BLUE)
BLOCK_LINES = {"525": 10, "625": 12}
"""Height of a block in scanned lines; on the tube it is as wide, which leaves composite colour room."""


@pattern(
    "blocks",
    FAMILY,
    "Three-gun blocks",
    "Judge by the level joints",
    ("plain",),
    finds=("conv-delta", "conv-corner"),
)
def blocks(fmt: Format, variant: str) -> Picture:  # noqa: ARG001 - there is one look
    """In each zone nine blocks of the three guns: every gun joins every other both across and down.

    Thin coloured verticals cannot be sharp on composite; the joints are blurred there too, and the seams down
    (between blocks one above the other) are the ones to judge by.
    """
    area = Area.of(fmt)
    high = BLOCK_LINES[fmt.line_system.name] * fmt.lines_per_row
    wide, had = high / area.aspect, half_amplitude(fmt)
    lefts = [[area.x(share) + (n - 1.5) * wide for share in CLUSTER_PLACES] for n in range(3)]
    tops = [[round(area.y(share) + (n - 1.5) * high) for share in CLUSTER_PLACES] for n in range(3)]
    across = [np.sum([span(x, x + wide, fmt.samples, had) for x in xs], axis=0) for xs in lefts]
    down = [np.sum([rows_covered(y, y + high, fmt.lines) for y in ys], axis=0) for ys in tops]
    parts = [Part(across[(gun - row) % 3], down[row], GUNS[gun]) for gun in range(3) for row in range(3)]
    return Picture(composed(fmt, parts))


SEGMENTS = 12
LEVEL_COUNT = 9


@pattern(
    "horizontals",
    FAMILY,
    "Horizontals by gun",
    "Steps where colours meet",
    ("in-turn", "white", *INKS),
    finds=("conv-delta", "conv-centre", "conv-edge"),
)
def horizontals(fmt: Format, variant: str) -> Picture:
    """Nine horizontals, sharp on composite whatever their colour; ``in-turn`` changes the gun at every twelfth.

    Where red, green and blue parts of one line do not continue each other, the guns do not converge down the tube.
    """
    area = Area.of(fmt)
    pitch = Grid.of(fmt, "usual").cell_rows
    places = [middle_row(fmt) + n * pitch for n in range(-(LEVEL_COUNT // 2), LEVEL_COUNT // 2 + 1)]
    if variant != "in-turn":
        whole = (-10.0, fmt.samples + 10.0)
        return Picture(composed(fmt, [levels(fmt, places, whole, INKS.get(variant, WHITE))]))
    parts = [
        levels(fmt, places, (area.x(n / SEGMENTS), area.x((n + 1) / SEGMENTS)), GUNS[n % 3]) for n in range(SEGMENTS)
    ]
    return Picture(composed(fmt, parts))
