"""Round things: discs that are round on a 4:3 tube, band-limited along the line, by area down the rows."""

import numpy as np
from numpy.typing import NDArray

from appliance.drawing.profiles import Floats, edge, half_amplitude, sample_places
from appliance.video.formats import Format

SLICES = 8
"""Level slices a row is cut into; the chord of each is drawn as a span and their mean taken."""


def chord(radius: float, offset: Floats) -> Floats:
    """Half the chord of a circle at ``offset`` from its centre, 0 outside; all in one unit."""
    half: Floats = np.sqrt(np.maximum(radius**2 - offset**2, 0))
    return half


def disc_rows(fmt: Format, centres: Floats, above: float, diameter: float) -> Floats:
    """Coverage[n, samples] of the rows that discs ``diameter`` rows high touch, one at each sample of ``centres``.

    Their centres lie ``above`` rows (a fraction or more) below the top of the first of the rows.
    """
    offset = (np.arange(int(np.ceil(above + diameter / 2)) * SLICES) + 0.5) / SLICES - above
    had, aspect = half_amplitude(fmt), float(fmt.pixel_aspect)
    half = chord(diameter / 2, offset)[:, None, None] / aspect
    reach = int(np.ceil(diameter / 2 / aspect + had)) + 1
    left = np.floor(centres).astype(np.intp) - reach
    away = left[:, None] + sample_places(2 * reach + 1) - centres[:, None]
    boxes = (edge(away + half, had) - edge(away - half, had)).reshape(-1, SLICES, *away.shape).mean(axis=1)
    return _laid(boxes, left, fmt.samples)


def _laid(boxes: Floats, left: NDArray[np.intp], samples: int) -> Floats:
    """Rows with the boxes laid at ``left``; a margin as wide as a box takes what reaches over the frame's edge."""
    width = boxes.shape[2]
    rows = np.zeros((len(boxes), samples + 2 * width))
    for column, start in enumerate(left + width):
        rows[:, start : start + width] += boxes[:, column]
    return np.minimum(rows[:, width:-width], 1)


def disc_grid(
    fmt: Format, columns: Floats, first_row: float, pitch: int, diameter: float
) -> tuple[Floats, NDArray[np.intp]]:
    """Rows of coverage and which of them each row of the frame is, for discs at ``columns`` × every ``pitch`` rows.

    The pitch is a whole number of rows, so every row of discs has the same few distinct rows; row 0 of the answer
    is the empty one. ``first_row`` is the centre of any one row of discs.
    """
    top = int(np.floor(first_row - diameter / 2))
    rows = disc_rows(fmt, columns, first_row - top, diameter)
    place = (np.arange(fmt.lines) - top) % pitch
    return np.vstack([np.zeros((1, fmt.samples)), rows]), np.where(place < len(rows), place + 1, 0)
