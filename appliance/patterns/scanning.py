"""Format: whether a set takes the progressive forms line by line, pairs interlaced lines, and how late it shows."""

import numpy as np

from appliance.drawing.area import Area
from appliance.drawing.colours import BLACK, WHITE, at_level, blend
from appliance.drawing.frames import box, composed, stack
from appliance.drawing.profiles import half_amplitude, span
from appliance.patterns.margins import rectangle
from appliance.patterns.picture import Picture, Turns
from appliance.patterns.registry import pattern
from appliance.patterns.supply import seconds
from appliance.video.formats import Format

FAMILY = "format"

PATCH = (0.36, 0.64)
"""Left and right, upper and lower end of the patch of scanned lines in shares of the picture: 8 % of its area."""


@pattern("line-patch", FAMILY, "Patch of scanned lines", "Lines apart and at rest", finds=("soft",))
def line_patch(fmt: Format, variant: str) -> Picture:  # noqa: ARG001 - there is one look
    """A small patch of scanned lines lit and dark in turn, beside one of the same mean light.

    A set that takes a progressive form as it is shows the lines standing still and apart. One that handles it as
    interlaced lets them flicker or run together. In the interlaced formats each line is two rows, one of each
    field, so no field is all light: single rows in turn would make the patch flash.
    """
    area, thick = Area.of(fmt), fmt.lines_per_row
    top, bottom = (round(area.y(share)) for share in PATCH)
    rows = np.arange(fmt.lines)
    inside = (rows >= top) & (rows < bottom)
    lit = inside & ((rows - top) // thick % 2 == 0)
    had = half_amplitude(fmt)
    lined = span(area.x(PATCH[0]), area.x(0.5), fmt.samples, had)
    even = span(area.x(0.5), area.x(PATCH[1]), fmt.samples, had) * 0.73
    distinct = blend(np.stack([0 * even, even, np.minimum(even + lined, 1)]), BLACK, WHITE)
    return Picture(stack(distinct, inside.astype(np.intp) + lit))


SLANTS = tuple((n - 2.5) / 6 for n in range(6))
FALL_LINES = 6
"""Scanned lines that a slanting line falls across the picture."""


@pattern("slants", FAMILY, "Slanting lines", "Even steps: fields interlace", finds=("jump",))
def slants(fmt: Format, variant: str) -> Picture:  # noqa: ARG001 - there is one look
    """Six lines that fall by six scanned lines across the picture, by area coverage of the rows.

    Interlaced, each line climbs in twice as many even steps as a field has lines; where the fields lie on each
    other instead of between, the steps are coarse and in pairs.
    """
    area, thick = Area.of(fmt), fmt.lines_per_row
    fall = (np.arange(fmt.samples) + 0.5 - area.centre_x) / area.width * FALL_LINES * thick
    frame = np.zeros((fmt.lines, fmt.samples), np.uint32)
    for share in SLANTS:
        middle = area.centre_y + share * area.height
        top = int(middle - (FALL_LINES / 2 + 2) * thick)
        rows = np.arange(top, top + int((FALL_LINES + 4) * thick))[:, None]
        upper = middle + fall - thick / 2
        shares = np.clip(np.minimum(rows + 1, upper + thick) - np.maximum(rows, upper), 0, 1)
        frame[rows[0, 0] : rows[-1, 0] + 1] = blend(shares, BLACK, WHITE)
    return Picture(frame)


@pattern(
    "delay",
    FAMILY,
    "Delay, by film",
    "Lamp against patch, filmed",
    moving=True,
    finds=("jump",),
)
def delay(fmt: Format, variant: str) -> Picture:  # noqa: ARG001 - there is one look
    """A patch lit for a quarter of every second, and the running lamp in the same field; to be filmed together.

    Between the lamp and the patch the film shows what the set, or a box before it, adds.
    """
    area = Area.of(fmt)
    frame = rectangle(fmt, 0.9)
    patch = box(fmt, (area.x(0.4), area.x(0.6)), (area.y(0.4), area.y(0.6)), at_level(WHITE, 0.9))
    lit = seconds(fmt, 0.25)
    turns = Turns(((0, seconds(fmt, 1) - lit), (1, lit)), lit=frozenset({1}))
    return Picture(composed(fmt, frame), more=(composed(fmt, [*frame, patch]),), turns=turns)
