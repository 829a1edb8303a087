"""One still for the first impression: geometry, roundness, margins, greys, the three guns, detail."""

import numpy as np

from appliance.drawing.area import Area
from appliance.drawing.colours import BLUE, GREEN, RED, WHITE, at_level
from appliance.drawing.frames import Part, Words, box, composed, lay
from appliance.drawing.profiles import half_amplitude, horizontals, rows_covered, sample_places, span, verticals
from appliance.drawing.rounds import ring_rows
from appliance.patterns.catalogue import pattern
from appliance.patterns.detail import SAMPLES_A_MHZ
from appliance.patterns.grid import Grid, middle_row
from appliance.patterns.margins import rectangle
from appliance.patterns.picture import Picture
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

RING_COLUMNS = (0.22, 0.78)
RING_AWAY = 0.21
"""How far the left ring lies above the picture's middle and the right one below, in shares of its height."""

RING_HEIGHT = 0.36


@pattern("combination", "combination", "First impression", "Shape, greys, guns, detail")
def combination(fmt: Format, variant: str) -> Picture:  # noqa: ARG001 - there is one look
    """Crosshatch and frame lines; along one slope two rings, along the other greys, fine lines and guns."""
    words = composed(fmt, [*_crosshatch(fmt), *rectangle(fmt, 0.98), *rectangle(fmt, 0.9)])
    fields = composed(fmt, [*_greys(fmt), *_fine(fmt), *_guns(fmt)])
    for place in (GREYS, FINE, GUNS):
        inside = _inside(fmt, *place)
        words[inside] = fields[inside]
    _rings(words, fmt)
    return Picture(words)


def _inside(fmt: Format, across: tuple[float, float], down: tuple[float, float]) -> tuple[slice, slice]:
    """The rows and samples of a field, with a dark margin along the line for its edges."""
    area, margin = Area.of(fmt), 6
    rows = slice(round(area.y(down[0])), round(area.y(down[1])))
    return rows, slice(round(area.x(across[0])) - margin, round(area.x(across[1])) + margin)


def _crosshatch(fmt: Format) -> list[Part]:
    grid, had = Grid.of(fmt, "usual"), half_amplitude(fmt)
    return [
        Part(verticals(grid.columns, fmt.samples, had), rows_covered(0, fmt.lines, fmt.lines), LINES),
        Part(np.ones(fmt.samples), horizontals(grid.rows, grid.thickness, fmt.lines), LINES),
    ]


def _parted(fmt: Format, place: tuple[tuple[float, float], tuple[float, float]], count: int) -> list[float]:
    """The samples that part a field evenly, its ends with them."""
    area, (left, right) = Area.of(fmt), place[0]
    return [area.x(left + (right - left) * n / count) for n in range(count + 1)]


def _rows(fmt: Format, place: tuple[tuple[float, float], tuple[float, float]]) -> tuple[float, float]:
    area = Area.of(fmt)
    return float(round(area.y(place[1][0]))), float(round(area.y(place[1][1])))


def _greys(fmt: Format) -> list[Part]:
    ends, rows = _parted(fmt, GREYS, 10), _rows(fmt, GREYS)
    return [box(fmt, (ends[n], ends[n + 1]), rows, at_level(WHITE, (n + 1) / 10)) for n in range(10)]


def _guns(fmt: Format) -> list[Part]:
    ends, rows = _parted(fmt, GUNS, 4), _rows(fmt, GUNS)
    return [box(fmt, (ends[n], ends[n + 1]), rows, gun) for n, gun in enumerate((RED, GREEN, BLUE, WHITE))]


def _fine(fmt: Format) -> list[Part]:
    ends, (top, bottom) = _parted(fmt, FINE, 4), _rows(fmt, FINE)
    places, had = sample_places(fmt.samples), half_amplitude(fmt)
    line = np.zeros(fmt.samples)
    for n, mhz in enumerate(DETAIL_MHZ):
        left, right = ends[n], ends[n + 1]
        wave = 0.5 + 0.5 * np.cos(2 * np.pi * mhz * SAMPLES_A_MHZ * (places - (left + right) / 2))
        line += span(left + 4, right - 4, fmt.samples, had) * wave
    return [Part(line, rows_covered(top, bottom, fmt.lines), WHITE)]


def _rings(words: Words, fmt: Format) -> None:
    """Both rings have the same rows, drawn once: the left one goes up, the right one down by whole rows."""
    area = Area.of(fmt)
    stroke, outer = STROKE_LINES * fmt.lines_per_row, RING_HEIGHT * area.height
    centre, away = middle_row(fmt), round(RING_AWAY * area.height)
    top = int(np.floor(centre - outer / 2))
    columns = np.array([area.x(share) for share in RING_COLUMNS])
    rows = ring_rows(fmt, columns, centre - top, outer, outer - 2 * stroke)
    half = fmt.samples // 2
    lay(words, rows[:, :half], top - away, 0, WHITE)
    lay(words, rows[:, half:], top + away, half, WHITE)
