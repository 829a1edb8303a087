"""Geometry: circles, and bars of equal width and height."""

import numpy as np

from appliance.drawing.area import Area
from appliance.drawing.colours import BLACK, WHITE, at_level, blend
from appliance.drawing.frames import box, composed, stack
from appliance.drawing.rounds import ring_rows, round_grid
from appliance.patterns.grid import middle_row
from appliance.patterns.picture import Picture
from appliance.patterns.registry import pattern
from appliance.video.formats import Format

FAMILY = "geometry"

WIDEN = {"4:3": 1.0, "16:9": 0.75}
"""Width of a circle by the tube's shape: on a 16:9 tube the same samples are a third wider."""

STROKE_LINES = 1.5
"""Thickness of a circle in scanned lines: about that of a 2T vertical."""


@pattern("circles", FAMILY, "Circles", "Round in every zone", tuple(WIDEN), finds=("lin-v", "lin-h", "aspect-50/60"))
def circles(fmt: Format, variant: str) -> Picture:
    """Nine equal circles, one in the middle of each zone, nine tenths of its height wide on a tube of that shape."""
    area, pitch = Area.of(fmt), int(fmt.picture_lines) // 3
    stroke = STROKE_LINES * fmt.lines_per_row
    outer = 0.9 * pitch + stroke
    centre = middle_row(fmt)
    top = int(np.floor(centre - outer / 2))
    columns = np.array([area.x(share) for share in (1 / 6, 1 / 2, 5 / 6)])
    rows = ring_rows(fmt, columns, centre - top, outer, outer - 2 * stroke, widen=WIDEN[variant])
    shares, index = round_grid(fmt, rows, top, pitch)
    return Picture(stack(blend(shares, BLACK, WHITE), index))


BAR_COUNT = 9
"""Few enough that light and dark make fewer than five pairs, which eyes bear (ITU-R BT.1702-3 on stripes)."""


@pattern(
    "linearity", FAMILY, "Linearity bars", "All equally wide or high", ("across", "down"), finds=("lin-v", "lin-h")
)
def linearity(fmt: Format, variant: str) -> Picture:
    """Nine bars of a ninth of the exact picture's width or height, every second one lit, the outer ones dark."""
    area, grey = Area.of(fmt), at_level(WHITE, 0.75)
    whole = (0.0, float(fmt.samples)), (0.0, float(fmt.lines))
    ends = [((n - 0.5) / BAR_COUNT + 0.5, (n + 0.5) / BAR_COUNT + 0.5) for n in (-3, -1, 1, 3)]
    if variant == "across":
        parts = [box(fmt, (area.x(a), area.x(b)), whole[1], grey) for a, b in ends]
    else:
        parts = [box(fmt, whole[0], (area.y(a), area.y(b)), grey) for a, b in ends]
    return Picture(composed(fmt, parts))
