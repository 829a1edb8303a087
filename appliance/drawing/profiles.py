"""Profiles along a line and down the rows.

Along a line everything is made of the sine-squared pulse and its running integral, whose half-amplitude duration
(HAD) of 2T leaves no notable energy above 1/HAD; so a vertical neither rings in the channel nor makes colour of
its own. Source: the sine-squared pulse of ITU-T J.61, T = 125 ns in 525 lines and 100 ns in 625.

Down the rows there is no channel to keep within: a row carries the share of its height that a thing covers.

Positions are in samples and rows from the frame's left and top edge; sample ``i`` lies at ``i + 0.5``.

>>> float(pulse(np.array(0.0), 2.7)), float(edge(np.array(0.0), 2.7))
(1.0, 0.5)
"""

from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from appliance.video.formats import SAMPLE_RATE, Format

Floats = NDArray[np.floating]


@cache  # exact fractions cost more than drawing a line does
def half_amplitude(fmt: Format) -> float:
    """HAD of the 2T pulse in samples: 3.375 (525), 2.7 (625)."""
    return float(2 * fmt.line_system.pulse * SAMPLE_RATE)


def pulse(offset: Floats, had: float) -> Floats:
    """cos²(π·offset / 2·had) out to ``had`` each side, 0 beyond; ``offset`` and ``had`` in the same unit."""
    wave: Floats = np.cos(np.minimum(np.abs(offset / had), 1) * (np.pi / 2))
    return wave * wave


def edge(offset: Floats, had: float) -> Floats:
    """Running integral of :func:`pulse` over its whole: from 0 before ``-had`` to 1 after ``had``."""
    reach = np.maximum(np.minimum(offset / had, 1), -1)
    share: Floats = (1 + reach + np.sin(reach * np.pi) / np.pi) / 2
    return share


def sample_places(samples: int) -> Floats:
    """Where the samples of a line lie, from the frame's left edge."""
    return np.arange(samples) + 0.5


def verticals(places: Sequence[float] | Floats, samples: int, had: float) -> Floats:
    """Coverage, ``samples`` long, of verticals one pulse wide at ``places``."""
    reach = int(np.ceil(had)) + 1
    centres = np.asarray(places, dtype=float)[:, None]
    near = np.floor(centres).astype(np.intp) + np.arange(-reach, reach + 1)  # beyond there is nothing
    inside = (near >= 0) & (near < samples)
    lit = pulse(near + 0.5 - centres, had)
    shares: Floats = np.minimum(np.bincount(near[inside], weights=lit[inside], minlength=samples), 1)
    return shares


def span(left: float, right: float, samples: int, had: float) -> Floats:
    """Coverage, ``samples`` long, of what reaches from ``left`` to ``right`` with an edge of HAD ``had`` at each."""
    places = sample_places(samples)
    return edge(places - left, had) - edge(places - right, had)


def rows_covered(top: float, bottom: float, lines: int) -> Floats:
    """Coverage, ``lines`` long, of what reaches from ``top`` to ``bottom``: the covered share of each row."""
    rows = np.arange(lines)
    shares: Floats = np.maximum(np.minimum(np.minimum(rows + 1, bottom) - np.maximum(rows, top), 1), 0)
    return shares


def horizontals(places: Sequence[float] | Floats, thickness: float, lines: int) -> Floats:
    """Coverage, ``lines`` long, of horizontals ``thickness`` rows thick centred at ``places``."""
    centres = np.asarray(places, dtype=float)[:, None]
    rows = np.arange(lines)
    reach = np.minimum(rows + 1, centres + thickness / 2) - np.maximum(rows, centres - thickness / 2)
    shares: Floats = np.minimum(np.maximum(np.minimum(reach, 1), 0).sum(axis=0), 1)
    return shares
