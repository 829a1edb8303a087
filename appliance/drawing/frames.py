"""Whole frames, made of few distinct rows wherever that will do: a row is drawn once and taken many times."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from appliance.drawing.colours import BLACK, Colour, blend, pack, word
from appliance.drawing.profiles import Floats, half_amplitude, horizontals, rows_covered, span, verticals
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


class Part(NamedTuple):
    """``colour`` where both coverages are: ``across`` along a line, ``down`` the rows of a frame."""

    across: Floats
    down: Floats
    colour: Colour


def box(fmt: Format, across: tuple[float, float], down: tuple[float, float], colour: Colour) -> Part:
    """A part from one place to another, in samples along the line and in rows down."""
    left, right = across
    return Part(span(left, right, fmt.samples, half_amplitude(fmt)), rows_covered(down[0], down[1], fmt.lines), colour)


def uprights(fmt: Format, places: Sequence[float], down: tuple[float, float], colour: Colour) -> Part:
    """Verticals one pulse wide at samples ``places``."""
    return Part(verticals(places, fmt.samples, half_amplitude(fmt)), rows_covered(down[0], down[1], fmt.lines), colour)


def levels(fmt: Format, places: Sequence[float], across: tuple[float, float], colour: Colour) -> Part:
    """Horizontals one scanned line thick, centred at rows ``places``."""
    left, right = across
    thin = horizontals(places, fmt.lines_per_row, fmt.lines)
    return Part(span(left, right, fmt.samples, half_amplitude(fmt)), thin, colour)


def sharp_row(fmt: Format, y: float) -> float:
    """The place nearest to row ``y`` where a horizontal one scanned line thick covers whole rows."""
    off = (fmt.lines_per_row % 2) / 2
    return float(np.floor(y - off + 0.5)) + off


def composed(fmt: Format, parts: Sequence[Part], under: Colour = BLACK) -> Words:
    """Frame of ``parts`` on ``under``; where parts overlap, what each adds to ``under`` adds up.

    Only distinct rows are drawn, so it costs by how many there are.
    """
    downs, index = _distinct(np.stack([part.down for part in parts], axis=1).astype(np.float32))
    across = np.stack([part.across for part in parts]).astype(np.float32)
    colours = {part.colour for part in parts}
    if len(colours) == 1:
        return stack(blend(downs @ across, under, colours.pop()), index)
    lifts = np.array([part.colour for part in parts], np.float32) - np.array(under, np.float32)
    added = downs @ (across[:, :, None] * lifts[:, None, :]).reshape(len(parts), -1)
    return stack(pack(np.array(under, np.float32) + added.reshape(len(downs), fmt.samples, 3)), index)


def _distinct(rows: NDArray[np.float32]) -> tuple[NDArray[np.float32], NDArray[np.intp]]:
    """The rows that differ, in the order met, and which of them each row is; runs of equal rows are found first."""
    begins = np.ones(len(rows), dtype=bool)
    begins[1:] = (rows[1:] != rows[:-1]).any(axis=1)
    numbers: dict[bytes, int] = {}
    of_run = np.array([numbers.setdefault(row.tobytes(), len(numbers)) for row in rows[begins]], dtype=np.intp)
    firsts = np.unique(of_run, return_index=True)[1]
    return rows[begins][firsts], of_run[np.cumsum(begins) - 1]


def lay(words: Words, shares: Floats, top: int, left: int, colour: Colour) -> None:
    """Mix ``colour`` in place into ``words`` by ``shares``, whose first row and sample lie at ``top`` and ``left``.

    All of it lies within the frame; only what is covered is reckoned.
    """
    rows, columns = np.nonzero(shares > 1 / 512)
    place = rows + top, columns + left
    share, ground = shares[rows, columns], words[place]
    mixed = np.zeros(len(share), np.uint32)
    for shift, ink in zip((16, 8, 0), colour, strict=True):
        under = ground >> shift & 255
        mixed |= (under + share * (255 * ink - under) + 0.5).astype(np.uint32) << shift
    words[place] = mixed
