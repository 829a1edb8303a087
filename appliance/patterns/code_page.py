"""A square code as a picture: to be photographed from the tube, not to be looked through.

Its light parts are mid grey: full white would swell the spot of a tube and blind a camera. A module is a whole number
of samples and of rows, as near to a square on a 4:3 tube as these allow, and as large as the part of the picture that
every set shows lets it be. Around the code four modules stay light (ISO/IEC 18004, the quiet zone).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from appliance.drawing.colours import BLACK, blend
from appliance.drawing.frames import stack
from appliance.drawing.profiles import edge, half_amplitude, sample_places
from appliance.errors import Refused
from appliance.lettering import height, safe_area, width, write
from appliance.patterns.picture import Frame
from appliance.video.formats import Format

Modules = NDArray[np.bool_]
"""``bool[side, side]``, true where the code is dark, without its quiet zone."""

QUIET = 4
LIGHT = (0.5, 0.5, 0.5)
INK = 0
LEAST_SAMPLES, LEAST_LINES = 4, 2
"""Smaller modules are not read through a plain set's channel of some 2 MHz; lines are those of one field."""


@dataclass(frozen=True)
class Module:
    """The size of a code's module: so many samples across and rows down."""

    samples: int
    rows: int


def code_page(fmt: Format, modules: Modules, words: Sequence[str] = ()) -> Frame:
    """Frame of a code at the left of the safe area, with ``words``, one below the other, at its right.

    Raises :class:`Refused` for a code of more modules than the format can show, or that is not square, for words that
    have no room beside it and for a character that the lettering lacks.
    """
    side = len(modules)
    if modules.shape != (side, side):
        raise Refused(f"a code of {modules.shape} modules: a square one is wanted")
    module = module_size(fmt, side, words)
    left, top, right, bottom = safe_area(fmt)
    first_row = (top + bottom - side * module.rows) // 2
    frame = _laid(fmt, modules, module, left, first_row)
    pitch = height(fmt)
    for place, line in enumerate(words):
        y = (top + bottom - len(words) * pitch) // 2 + place * pitch
        write(frame, fmt, line, right - width(line, fmt), y, ink=INK, paper=None)
    return frame


def module_size(fmt: Format, side: int, words: Sequence[str] = ()) -> Module:
    """The largest module of a code ``side`` modules wide that leaves room for ``words``; raises :class:`Refused`."""
    left, top, right, bottom = safe_area(fmt)
    beside = max((width(line, fmt) for line in words), default=-QUIET)
    if len(words) * height(fmt) > bottom - top:
        raise Refused(f"{len(words)} lines of words beside a code in {fmt.name}: too many, so leave some out")
    for rows in range((bottom - top) // side, LEAST_LINES * fmt.lines_per_row - 1, -1):
        samples = round(rows / fmt.pixel_aspect)
        if samples >= LEAST_SAMPLES and (side + QUIET) * samples + beside <= right - left:
            return Module(samples, rows)
    raise Refused(f"a code of {side} modules: more than {fmt.name} can show with its words; put less into it")


def _laid(fmt: Format, modules: Modules, module: Module, left: int, top: int) -> Frame:
    """The code on a light frame, its upright edges band-limited."""
    side = len(modules)
    bounded = np.pad(modules.astype(float), ((0, 0), (1, 1)))
    borders = left + np.arange(side + 1) * module.samples
    edges = edge(sample_places(fmt.samples) - borders[:, None], half_amplitude(fmt))
    rows = blend(np.vstack([np.diff(bounded, axis=1) @ edges, np.zeros(fmt.samples)]), LIGHT, BLACK)
    place = (np.arange(fmt.lines) - top) // module.rows
    return stack(rows, np.where((place >= 0) & (place < side), place, side))
