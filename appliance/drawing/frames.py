"""Whole frames, made of few distinct rows wherever that will do: a row is drawn once and taken many times."""

import numpy as np
from numpy.typing import NDArray

from appliance.drawing.colours import Colour, blend, word
from appliance.drawing.profiles import Floats
from appliance.video.formats import Format

Words = NDArray[np.uint32]


def flat(fmt: Format, colour: Colour) -> Words:
    """A frame of one colour."""
    return np.full((fmt.lines, fmt.samples), word(colour), dtype=np.uint32)


def stack(rows: Words, index: NDArray[np.intp]) -> Words:
    """Frame whose row ``i`` is ``rows[index[i]]``; C-contiguous ``uint32[len(index), samples]``."""
    return np.take(rows, index, axis=0)


def crossed(across: Floats, down: Floats, under: Colour, over: Colour) -> Words:
    """Frame of ``over`` on ``under`` where verticals or horizontals cover it.

    ``across`` is the coverage of the verticals along a line, ``down`` that of the horizontals down the rows; a
    crossing is no brighter than the brighter of the two alone.
    """
    shares, index = np.unique(down, return_inverse=True)
    share = shares[:, None]
    return stack(blend(share + (1 - share) * across, under, over), index.reshape(-1))
