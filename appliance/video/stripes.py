"""Stripes in a picture: how much of the screen is covered by more than five light and dark pairs, in any direction.

After ITU-R BT.1702-3: such a pattern is a risk over more than 40 % of the screen when it stands, over more than 25 %
when it moves, flashes or reverses. A pair differs by 20 cd/m² or more on a screen of 200, its dark part below 160.

The frame is crossed by parallel lines in eight directions; where one meets more than five pairs in a row, the stretch
between the first and the last of them is covered. Pairs of which light or dark is less than a quarter, as the thin
lines of a crosshatch, are counted apart, for the risk is greatest with equal stripes (ours, no source for the quarter).
"""

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import pi, tan
from typing import Annotated, NamedTuple

import numpy as np
from numpy.typing import NDArray

from appliance.video.flash_cells import Words, tube_light
from appliance.video.flash_changes import LightChanges, Places
from appliance.video.formats import Format
from appliance.video.sources import Source

_BT1702 = ("ITU-R BT.1702", "3 (2023)")

PAIRS: Annotated[int, Source(*_BT1702, "stripes: more than five light-dark pairs")] = 5
STANDING: Annotated[Fraction, Source(*_BT1702, "stripes: more than 40 % when stationary")] = Fraction(2, 5)
"""Share of the screen."""
MOVING: Annotated[Fraction, Source(*_BT1702, "stripes: more than 25 % when moving or reversing")] = Fraction(1, 4)
"""Share of the screen."""

_NARROW = Fraction(1, 4)
_ANGLES = [pi * n / 8 for n in range(-1, 3)]
"""Half of the directions, about the horizontal; the other half are about the vertical."""

Light = NDArray[np.float64]
Counts = NDArray[np.int_]


@dataclass(frozen=True)
class Stripes:
    """Shares of the screen covered by stripes: of balanced ones, and of all with the narrow ones."""

    balanced: float
    all: float

    def risk(self, moving: bool) -> bool:
        """Whether balanced stripes cover more than is allowed of a standing or a moving picture."""
        return self.balanced > (MOVING if moving else STANDING)


def find_stripes(fmt: Format, frame: Words) -> Stripes:
    """The stripes in a frame ``uint32[lines, samples]``."""
    light = tube_light(fmt, frame)
    aspect = float(fmt.pixel_aspect)
    across = _crossed(np.ascontiguousarray(light.T), aspect)
    down = _crossed(light, 1 / aspect)
    return Stripes(*(float((level.T | upright).mean()) for level, upright in zip(across, down, strict=True)))


class _Lines(NamedTuple):
    """Parallel lines of one direction over a picture ``[column, row]``: at each step from column to column each of
    ``total`` lines is at another row. Line ``first[column]`` is at the uppermost row, the next at the next."""

    total: int
    first: Counts

    @classmethod
    def of(cls, shape: tuple[int, ...], slope: float) -> "_Lines":
        """``slope``: rows that they fall a column."""
        columns, rows = shape
        shifts = np.round(slope * np.arange(columns)).astype(int)
        return cls(rows + int(shifts.max() - shifts.min()), shifts.max() - shifts)


def _crossed(picture: Light, aspect: float) -> Places:
    """``bool[2, columns, rows]`` of the places covered in a picture ``[column, row]`` along lines of four directions.

    ``aspect``: the width of a column by the height of a row. The lines of all directions are followed together, which
    takes as many steps as there are columns.
    """
    rows = picture.shape[1]
    bundles = [_Lines.of(picture.shape, tan(angle) * aspect) for angle in _ANGLES]
    starts = np.cumsum([0, *(lines.total for lines in bundles)])
    firsts = [start + lines.first for start, lines in zip(starts, bundles, strict=False)]
    along = np.full((len(picture), starts[-1]), np.nan)  # where a line lies outside there is no light
    for first in firsts:
        for column, at in enumerate(first):
            along[column, at : at + rows] = picture[column]
    marks = _covered(_turns(along))
    covered = np.zeros((2, *picture.shape), bool)
    for first in firsts:
        for column, mark in enumerate(marks):
            covered[:, column] |= mark[:, first[column] : first[column] + rows]
    return covered


def _turns(along: Light) -> Places:
    """Where light turned to dark or back, going down ``along[step, line]``."""
    changes = LightChanges(along[0])
    return np.array([np.logical_or(*changes.feed(now)) for now in along])


def _covered(turns: Places) -> Places:
    """``bool[step, 2, line]``: the steps within more than five pairs, balanced ones and all; no step if none is."""
    steps, lines = turns.shape
    many = np.flatnonzero(turns.sum(axis=0) >= 2 * PAIRS)
    marks = np.zeros((steps + 1 if len(many) else 0, 2, lines), np.int16)
    number, at = np.nonzero(turns[:, many].T)
    for kind in (0, 1) if len(many) else ():
        line, first, last = _runs(number, at, kind + 1)
        np.add.at(marks[:, kind], (np.maximum(first, 0), many[line]), 1)
        np.add.at(marks[:, kind], (np.minimum(last, steps), many[line]), -1)
    for before, now in pairwise(marks):
        np.add(before, now, out=now)
    return np.asarray(marks[:-1] > 0)


def _runs(line: Counts, at: Counts, apart: int) -> tuple[Counts, Counts, Counts]:
    """Line, first and last step of each run of more than five pairs among turns ``at``, in order on each ``line``.

    Every line has at least ten turns. Of a run each stripe is at most three times as wide as the one ``apart`` before
    it, or that as it. A turn is between two stripes, so ten of them make five and a half pairs; the stripe on either
    side counts as wide as its neighbour.
    """
    widths = np.diff(at)
    share = float(_NARROW / (1 - _NARROW))
    before, after = widths[:-apart], widths[apart:]
    uneven = np.minimum(before, after) < share * np.maximum(before, after)
    breaks = np.flatnonzero(uneven & (line[: -apart - 1] == line[apart + 1 :]))
    begins = np.flatnonzero(np.diff(line, prepend=-1))
    starts = np.sort(np.concatenate([begins, breaks + 1]))
    ends = np.sort(np.concatenate([breaks + apart, np.append(begins[1:], len(line)) - 1]))
    long = ends - starts + 1 >= 2 * PAIRS
    starts, ends = starts[long], ends[long]
    return line[starts], at[starts] - widths[starts], at[ends] + widths[ends - 1]
