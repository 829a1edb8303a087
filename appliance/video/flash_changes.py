"""Changes of light and into or out of saturated red, place by place: the halves that a flash is made of."""

from collections import deque
from fractions import Fraction
from typing import Annotated

import numpy as np
from numpy.typing import NDArray

from appliance.video.flash_cells import SRGB_XYZ, Cells
from appliance.video.sources import Source

Places = NDArray[np.bool_]

CHANGE: Annotated[Fraction, Source("WCAG", "2.2", "general flash: 10 % of the maximum relative luminance")] = Fraction(
    1, 10
)
"""Least change of light that counts, white at 1. BT.1702-3 has the same: 20 cd/m² on a screen of 200."""
DARKER: Annotated[Fraction, Source("WCAG", "2.2", "general flash: darker image below 0.80")] = Fraction(4, 5)
"""A change counts if the darker state is below this. BT.1702-3 has the same: 160 cd/m² of 200."""
RED_SHARE: Annotated[Fraction, Source("WCAG", "2.2", "red flash: R/(R+G+B) ≥ 0.8")] = Fraction(4, 5)
"""Least share of red in the sum of the linear guns for a saturated red."""
RED_DISTANCE: Annotated[Fraction, Source("WCAG", "2.2", "red flash: more than 0.2 in CIE 1976 u′, v′")] = Fraction(1, 5)
"""A change to or from saturated red counts if the two states are further apart than this."""

_ROUNDING = 1e-9
"""What counts from a limit on counts from this much below it, so that rounding never lets a flash go."""
_BLACK = 0.0005
"""Below a tenth of a cd/m² (of 200) a place has no colour of its own and is taken as neutral; ours, no source."""


_LEAST = float(CHANGE) - _ROUNDING
_DARKER = float(DARKER)


class LightChanges:
    """Follows the light of each place from turning point to turning point."""

    def __init__(self, start: Cells) -> None:
        """``start``: the light before anything changes; not-a-number where there is none yet."""
        self._low, self._high = start.copy(), start.copy()
        self._way = np.zeros(start.shape, np.int8)

    def feed(self, now: Cells) -> tuple[Places, Places]:
        """Where a change became complete: up from the lowest, and down from the highest since the change before.

        Going on the same way is the same change; only an opposing one counts anew.
        """
        np.fmin(self._low, now, out=self._low)
        np.fmax(self._high, now, out=self._high)
        up = (self._way <= 0) & (now - self._low >= _LEAST) & (self._low < _DARKER)
        down = (self._way >= 0) & (self._high - now >= _LEAST) & (now < _DARKER)
        changed = up | down
        if changed.any():
            self._way[up], self._way[down] = 1, -1
            self._low[changed] = self._high[changed] = now[changed]
        return up, down


_MATRIX = np.array(SRGB_XYZ)


def chromaticity(guns: Cells) -> Cells:
    """CIE 1976 ``u′, v′`` as ``[2, rows, columns]`` of linear guns ``[3, rows, columns]``; black counts as neutral."""
    lit = np.where(_MATRIX[1] @ guns.reshape(3, -1) < _BLACK, 1.0, guns.reshape(3, -1))
    x, y, z = _MATRIX @ lit
    return np.asarray(np.stack([4 * x, 9 * y]) / (x + 15 * y + 3 * z)).reshape(2, *guns.shape[1:])


_PURE_RED = chromaticity(np.array([1.0, 0.0, 0.0]).reshape(3, 1, 1))


def saturated_red(guns: Cells) -> Places:
    """Where red is at least 80 % of the linear guns; black is not."""
    share = guns[0] >= (float(RED_SHARE) - _ROUNDING) * guns.sum(axis=0)
    return np.asarray(share & (np.tensordot(_MATRIX[1], guns, axes=1) >= _BLACK))


_KNOWN = 4
"""Fields whose colours are kept: they stand or take turns for long."""


class RedChanges:
    """Follows each place into saturated red and out of it again, at any brightness."""

    def __init__(self, start: Cells) -> None:
        """``start``: linear guns ``[3, rows, columns]`` before anything changes."""
        self._red = _Furthest(start.shape[1:])  # the reddest seen
        self._other = _Furthest(start.shape[1:])  # the one furthest from red
        self._way = np.zeros(start.shape[1:], np.int8)
        self._known: deque[tuple[Cells, Cells, Places]] = deque(maxlen=_KNOWN)
        self.feed(start)

    def feed(self, guns: Cells) -> tuple[Places, Places]:
        """Where a change into saturated red, and out of it, of more than 0.2 in u′, v′ became complete."""
        colour, red = self._colour_of(guns)
        into = red & (self._way <= 0) & self._other.apart(colour)
        out = ~red & (self._way >= 0) & self._red.apart(colour)
        self._way[into], self._way[out] = 1, -1
        self._other.forget(into)
        self._red.forget(out)
        away = _square(colour - _PURE_RED)
        self._red.keep(colour, -away, red)
        self._other.keep(colour, away, ~red)
        return into, out

    def _colour_of(self, guns: Cells) -> tuple[Cells, Places]:
        """Chromaticity, and where it is a saturated red; those of the last few are known still."""
        for known, colour, red in self._known:
            if known is guns:
                return colour, red
        found = chromaticity(guns), saturated_red(guns)
        self._known.append((guns, *found))
        return found


def _square(difference: Cells) -> Cells:
    return np.asarray(difference[0] ** 2 + difference[1] ** 2)


class _Furthest:
    """For each place the colour of those kept whose ``score`` was highest, or none."""

    def __init__(self, shape: tuple[int, ...]) -> None:
        self._colour = np.full((2, *shape), np.nan)
        self._score = np.full(shape, -np.inf)

    def apart(self, colour: Cells) -> Places:
        """Where ``colour`` is more than the red distance from what was kept; nowhere if nothing was."""
        least = float(RED_DISTANCE) - _ROUNDING
        return np.asarray(_square(colour - self._colour) > least**2)  # not-a-number is not greater

    def keep(self, colour: Cells, score: Cells, where: Places) -> None:
        """Keep ``colour`` ``where`` its score is the highest yet."""
        better = where & (score > self._score)
        np.copyto(self._score, score, where=better)
        np.copyto(self._colour, colour, where=better)

    def forget(self, where: Places) -> None:
        """Keep nothing ``where``."""
        np.copyto(self._score, -np.inf, where=where)
        np.copyto(self._colour, np.nan, where=where)
