"""Motion: bars, a block and a pan, each at a constant pace of whole samples or scanned lines a field."""

import numpy as np

from appliance import lettering
from appliance.drawing.area import Area
from appliance.drawing.colours import BLACK, WHITE, Colour, at_level, blend
from appliance.drawing.frames import Words, stack
from appliance.drawing.profiles import Floats, half_amplitude, rows_covered, span
from appliance.patterns.picture import Picture, Way
from appliance.patterns.registry import pattern
from appliance.video.formats import Format

FAMILY = "motion"
STRIPES = ("Moving stripes can trigger", "seizures · go starts")
GREY = at_level(WHITE, 0.75)

BAR_PERIOD = 180
"""Samples from bar to bar: four light and dark pairs across, fewer than the six that trouble eyes (BT.1702-3)."""

BAR_PERIOD_LINES = {"525": 60, "625": 72}
"""Scanned lines from bar to bar: four pairs down the coded picture."""


def repeated(fmt: Format, widths: tuple[float, float], period: int, samples: int) -> Floats:
    """Coverage along ``samples`` of what reaches from one to the other of ``widths`` in every period."""
    starts = range(-period, samples + period, period)
    left, right = widths
    had = half_amplitude(fmt)
    shares: Floats = np.sum([span(start + left, start + right, samples, had) for start in starts], axis=0)
    return shares


def still_rows(line: Words, lines: int) -> Words:
    """A frame whose every row is ``line``."""
    return stack(line[None], np.zeros(lines, dtype=np.intp))


@pattern(
    "moving-bars",
    FAMILY,
    "Moving bars",
    "Even pace, clean edges",
    ("across", "down"),
    moving=True,
    caution=STRIPES,
    finds=("lin-h", "lin-v", "smear"),
)
def moving_bars(fmt: Format, variant: str) -> Picture:
    """Four light and four dark bars; two samples a field to the right, or one scanned line a field down."""
    if variant == "across":
        line = blend(repeated(fmt, (0, BAR_PERIOD / 2), BAR_PERIOD, fmt.samples + BAR_PERIOD), BLACK, GREY)
        return Picture(still_rows(line, fmt.lines), Way(-2, 0, BAR_PERIOD, 1))
    period = BAR_PERIOD_LINES[fmt.line_system.name] * fmt.lines_per_row
    lit = np.arange(fmt.lines + period) % period < period // 2
    rows = blend(np.array([[0.0], [1.0]]).repeat(fmt.samples, axis=1), BLACK, GREY)
    return Picture(stack(rows, lit.astype(np.intp)), Way(0, -fmt.lines_per_row, 1, period))


BLOCK_PERIOD = 600
BLOCK_SAMPLES = 80


@pattern(
    "moving-block",
    FAMILY,
    "Moving block",
    "Tails behind the block",
    ("white-on-black", "black-on-grey"),
    moving=True,
    finds=("smear", "ghost"),
)
def moving_block(fmt: Format, variant: str) -> Picture:
    """A block a ninth of the picture wide and a third high; two samples a field to the right."""
    area = Area.of(fmt)
    ink, under = (WHITE, BLACK) if variant == "white-on-black" else (BLACK, at_level(WHITE, 0.5))
    across = repeated(fmt, (300, 300 + BLOCK_SAMPLES), BLOCK_PERIOD, fmt.samples + BLOCK_PERIOD)
    down = rows_covered(round(area.y(1 / 3)), round(area.y(2 / 3)), fmt.lines)
    rows = blend(np.stack([0 * across, across]), under, ink)
    return Picture(stack(rows, down.astype(np.intp)), Way(-2, 0, BLOCK_PERIOD, 1))


PAN_PERIOD = 1200
POLES = (40, 100, 190, 310, 480, 600, 720, 890, 1010, 1100)
"""Samples of the poles, at spacings that grow and shrink."""

WORDS = ((350, "one"), (640, "two"), (940, "three"))
GROUND: Colour = at_level(WHITE, 0.35)


@pattern(
    "pan",
    FAMILY,
    "Pan past poles",
    "Upright poles, clear words",
    ("slow", "quick"),
    moving=True,
    finds=("smear", "lin-h", "jump"),
)
def pan(fmt: Format, variant: str) -> Picture:
    """Poles and words on grey, two or four samples a field to the left: 120 or 240 samples a second at 60 fields."""
    samples = fmt.samples + PAN_PERIOD
    had = half_amplitude(fmt)
    poles = np.sum(
        [span(x, x + 6, samples, had) for turn in (0, PAN_PERIOD) for x in (turn + pole for pole in POLES)], axis=0
    )
    area = Area.of(fmt)
    rows = blend(np.stack([0 * poles, poles]), GROUND, BLACK)
    tall = rows_covered(round(area.y(0.25)), round(area.y(0.9)), fmt.lines)
    words = stack(rows, tall.astype(np.intp))
    for turn in (-PAN_PERIOD, 0, PAN_PERIOD):
        for x, text in WORDS:
            lettering.write(words, fmt, text, turn + x, round(area.y(0.12)), paper=None)
    return Picture(words, Way({"slow": 2, "quick": 4}[variant], 0, PAN_PERIOD, 1))
