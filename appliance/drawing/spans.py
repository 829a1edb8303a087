"""Shapes as spans: slices of rows that are covered from one place to another, band-limited along the line.

Only the samples near a span's ends are reckoned: what each end adds from one sample to the next is gathered, and the
running sum along the line is the coverage. So a shape costs by its outline and not by its area.
"""

from functools import cache

import numpy as np
from numpy.typing import NDArray

from appliance.drawing.profiles import Floats, edge, half_amplitude
from appliance.video.formats import Format

SLICES = 4
"""Level slices a row is cut into where a shape's outline slants; their mean is the row's coverage."""

PHASES = 512
"""Places within a sample that are told apart: both ends of a span together are off by a fifth of a code at most."""


def slice_places(lines: int, slices: int = SLICES) -> Floats:
    """The middles of the slices of ``lines`` rows, in rows from the first one's top; as many as lines × slices."""
    return (np.arange(lines * slices) + 0.5) / slices


def covered(fmt: Format, spans: list[tuple[Floats, Floats]], lines: int, samples: int) -> Floats:
    """Coverage[lines, samples] of shapes, each the left and right ends of its span in every slice of the rows.

    The arrays of a shape are as long as lines × slices, whatever the number of slices; where left is not before
    right nothing is covered. Ends may lie outside. Shapes that overlap add up, to full coverage at most.
    """
    left, right = (np.stack(ends) for ends in zip(*spans, strict=True))
    slices = left.shape[1] // lines
    rows = np.broadcast_to(np.repeat(np.arange(lines), slices), left.shape)
    lit = right > left
    steps = _steps(fmt, np.tile(rows[lit], 2), np.concatenate([left[lit], right[lit]]), (lines, samples))
    shares: Floats = np.cumsum(steps, axis=1)[:, :samples] / slices
    return np.clip(shares, 0, 1, out=shares)


def _steps(fmt: Format, rows: NDArray[np.intp], ends: Floats, shape: tuple[int, int]) -> Floats:
    """What the spans' ends add from sample to sample: first half of ``ends`` are left ones, the others right ones.

    The sum of each edge is 1; what lies beyond the line is gathered at its ends, one sample past the last.
    """
    lines, samples = shape
    table = _rises(half_amplitude(fmt))
    reach = table.shape[1] // 2
    ends = np.clip(ends, -2 * reach, samples + 2 * reach)
    first = np.floor(ends).astype(np.intp)
    rises = table[((ends - first) * PHASES + 0.5).astype(np.intp)]
    rises[len(ends) // 2 :] *= -1
    near = np.arange(-reach, reach + 1)
    places = np.clip(first[:, None] + near, 0, samples) + rows[:, None] * (samples + 1)
    steps = np.bincount(places.ravel(), weights=rises.ravel(), minlength=lines * (samples + 1))
    return np.asarray(steps, dtype=float).reshape(lines, samples + 1)


@cache
def _rises(had: float) -> Floats:
    """``[PHASES + 1, 2 · reach + 1]``: what an edge adds from sample to sample, by where within a sample it lies."""
    reach = int(np.ceil(had)) + 1
    phases = np.arange(PHASES + 1)[:, None] / PHASES
    return np.diff(edge(np.arange(-reach, reach + 2) - 0.5 - phases, had), axis=1)
