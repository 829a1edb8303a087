"""Stripes in a picture: how much of the screen is covered by more than five light and dark pairs, in any direction.

After ITU-R BT.1702-3: such a pattern is a risk over more than 40 % of the screen when it stands, over more than 25 %
when it moves, flashes or reverses. A pair differs by 20 cd/m² or more on a screen of 200, its dark part below 160.

The frame is crossed by parallel lines in eight directions; where one meets more than five pairs in a row, the stretch
between the first and the last of them is covered. Pairs of which light or dark is less than a quarter, as the thin
lines of a crosshatch, are counted apart, for the risk is greatest with equal stripes (ours, no source for the quarter).
"""

from dataclasses import dataclass
from fractions import Fraction
from math import pi, tan
from typing import Annotated

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
    covered = np.zeros((2, *light.shape), bool)
    for upright in (False, True):
        picture = light.T if upright else light
        aspect = float(1 / fmt.pixel_aspect if upright else fmt.pixel_aspect)
        for angle in _ANGLES:
            shifts = np.round(tan(angle) * aspect * np.arange(picture.shape[1])).astype(int)
            found = _crossed(picture, shifts)
            covered |= found.transpose(0, 2, 1) if upright else found
    return Stripes(*(float(part.mean()) for part in covered))


def _crossed(picture: Light, shifts: Counts) -> Places:
    """``bool[2, rows, columns]`` of the places covered along lines that come ``shifts`` rows lower at each column."""
    rows, columns = picture.shape
    at_row = np.arange(-int(shifts.max()), rows - int(shifts.min()))[None, :] + shifts[:, None]
    inside = (at_row >= 0) & (at_row < rows)
    column = np.broadcast_to(np.arange(columns)[:, None], at_row.shape)
    along = np.where(inside, picture[at_row.clip(0, rows - 1), column], np.nan)
    covered = np.zeros((2, rows, columns), bool)
    covered[:, at_row[inside], column[inside]] = _covered(_turns(along))[:, inside]
    return covered


def _turns(along: Light) -> Places:
    """Where light turned to dark or back, going down ``along[step, line]``."""
    changes = LightChanges(along[0])
    return np.array([np.logical_or(*changes.feed(now)) for now in along])


def _covered(turns: Places) -> Places:
    """``bool[2, step, line]``: the steps within more than five pairs, balanced ones and all."""
    steps, lines = turns.shape
    marks = np.zeros((2, steps + 1, lines), int)
    for line in np.flatnonzero(turns.sum(axis=0) >= 2 * PAIRS):
        at = np.flatnonzero(turns[:, line])
        for kind in (0, 1):
            for first, last in _runs(at, kind + 1):
                marks[kind, max(first, 0), line] += 1
                marks[kind, min(last, steps), line] -= 1
    return np.asarray(marks.cumsum(axis=1)[:, :-1] > 0)


def _runs(at: Counts, apart: int) -> list[tuple[int, int]]:
    """First and last step of each run of more than five pairs among the turns ``at``.

    Of a run each stripe is at most three times as wide as the one ``apart`` before it, or that as it. A turn is
    between two stripes, so ten of them make five and a half pairs; the stripe on either side counts as wide as its
    neighbour.
    """
    widths = np.diff(at)
    before, after = widths[:-apart], widths[apart:]
    share = float(_NARROW / (1 - _NARROW))
    breaks = np.flatnonzero(np.minimum(before, after) < share * np.maximum(before, after))
    starts, ends = [0, *(breaks + 1)], [*(breaks + apart), len(widths)]
    runs = [(start, end) for start, end in zip(starts, ends, strict=True) if end - start + 1 >= 2 * PAIRS]
    return [(int(at[start] - widths[start]), int(at[end] + widths[end - 1])) for start, end in runs]
