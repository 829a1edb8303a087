"""One still for the first impression: geometry, roundness, margins, greys, the three guns, detail."""

import numpy as np

from appliance.drawing.area import Area
from appliance.drawing.colours import BLUE, GREEN, RED, WHITE, at_level, pack
from appliance.drawing.frames import Part, Words, composed, lay
from appliance.drawing.profiles import Floats, edge, half_amplitude, horizontals, rows_covered, sample_places, verticals
from appliance.drawing.rounds import ring_rows
from appliance.patterns.detail import SAMPLES_A_MHZ
from appliance.patterns.grid import Grid, middle_row
from appliance.patterns.margins import rectangle
from appliance.patterns.picture import Picture
from appliance.patterns.registry import pattern
from appliance.patterns.roundness import STROKE_LINES
from appliance.video.formats import Format

LINES = at_level(WHITE, 0.45)

GREYS = (0.42, 0.90), (0.12, 0.24)
FINE = (0.36, 0.64), (0.42, 0.58)
GUNS = (0.10, 0.58), (0.76, 0.88)
"""Left and right, upper and lower end of the fields of ten greys, of fine lines, and of the three guns and white, in
shares of the exact picture."""

DETAIL_MHZ = (1.0, 2.0, 3.0, 4.0)
"""One sine for each fourth of the field of fine lines."""

RING_COLUMN = 0.78
RING_AWAY = 0.21
"""Where the right ring lies in the width, and how far below the middle; the left one is as far left and above."""

MARGIN = 6
"""Samples kept dark beside a field."""

RING_HEIGHT = 0.36


Place = tuple[tuple[float, float], tuple[float, float]]


@pattern(
    "combination",
    "combination",
    "First impression",
    "Shape, greys, guns, detail",
    finds=("roll", "tear", "jump", "line", "gun-missing", "aspect-50/60"),
)
def combination(fmt: Format, variant: str) -> Picture:  # noqa: ARG001 - there is one look
    """Crosshatch and frame lines; along one slope two rings, along the other greys, fine lines and guns."""
    words = composed(fmt, [*_crosshatch(fmt), *rectangle(fmt, 0.98), *rectangle(fmt, 0.9)])
    area = Area.of(fmt)
    for place, signal_of in ((GREYS, _steps), (FINE, _fine), (GUNS, _guns)):
        rows, samples = _inside(area, place)
        words[rows, samples] = pack(signal_of(fmt, area, sample_places(fmt.samples)[samples]))
    _rings(words, fmt, area)
    return Picture(words)


def _inside(area: Area, place: Place) -> tuple[slice, slice]:
    """The rows and samples of a field, with a dark margin along the line for its edges."""
    across, down = place
    rows = slice(round(area.y(down[0])), round(area.y(down[1])))
    return rows, slice(round(area.x(across[0])) - MARGIN, round(area.x(across[1])) + MARGIN)


def _crosshatch(fmt: Format) -> list[Part]:
    grid, had = Grid.of(fmt, "usual"), half_amplitude(fmt)
    return [
        Part(verticals(grid.columns, fmt.samples, had), rows_covered(0, fmt.lines, fmt.lines), LINES),
        Part(np.ones(fmt.samples), horizontals(grid.rows, grid.thickness, fmt.lines), LINES),
    ]


def _parts(fmt: Format, area: Area, along: Floats, place: Place, count: int) -> Floats:
    """Coverage[count, samples] of the even parts of a field, at the samples ``along``."""
    ends = [area.x(place[0][0] + (place[0][1] - place[0][0]) * n / count) for n in range(count + 1)]
    risen = edge(along - np.array(ends)[:, None], half_amplitude(fmt))
    return risen[:-1] - risen[1:]


def _steps(fmt: Format, area: Area, along: Floats) -> Floats:
    """Signal[samples, 3] of ten greys."""
    grey = (np.arange(10) + 1) / 10 @ _parts(fmt, area, along, GREYS, 10)
    return np.repeat(grey[:, None], 3, axis=1)


def _guns(fmt: Format, area: Area, along: Floats) -> Floats:
    """Signal[samples, 3] of red, green, blue and white."""
    signal: Floats = _parts(fmt, area, along, GUNS, 4).T @ np.array([RED, GREEN, BLUE, WHITE])
    return signal


def _fine(fmt: Format, area: Area, along: Floats) -> Floats:
    """Signal[samples, 3] of sines from black to white, one for each part."""
    width = (FINE[0][1] - FINE[0][0]) / len(DETAIL_MHZ)
    middles = np.array([[area.x(FINE[0][0] + (n + 0.5) * width)] for n in range(len(DETAIL_MHZ))])
    turns = (along - middles) * np.array(DETAIL_MHZ)[:, None] * SAMPLES_A_MHZ
    line = (_parts(fmt, area, along, FINE, len(DETAIL_MHZ)) * (0.5 + 0.5 * np.cos(2 * np.pi * turns))).sum(axis=0)
    return np.repeat(line[:, None], 3, axis=1)


def _rings(words: Words, fmt: Format, area: Area) -> None:
    """The right ring is drawn once and goes down by whole rows; mirrored about the middle it is the left, going up."""
    stroke, outer = STROKE_LINES * fmt.lines_per_row, RING_HEIGHT * area.height
    centre, away = middle_row(fmt), round(RING_AWAY * area.height)
    top = int(np.floor(centre - outer / 2))
    half = int(outer / 2 / area.aspect) + MARGIN
    left = int(area.x(RING_COLUMN)) - half
    place = np.array([area.x(RING_COLUMN) - left])
    rows = ring_rows(fmt, place, centre - top, outer, outer - 2 * stroke, samples=2 * half + 1)
    lay(words, rows, top + away, left, WHITE)
    lay(words, rows[:, ::-1], top - away, fmt.samples - left - rows.shape[1], WHITE)
