"""What the tests of the lettering share: text drawn white on black, and where it crosses half amplitude."""

import numpy as np
from numpy.typing import NDArray

from appliance.lettering import height, width, write
from appliance.video.formats import Format

Floats = NDArray[np.float64]


def drawn(text: str, fmt: Format) -> Floats:
    """``text`` as ``write`` puts it on a frame, 0 … 1, ``[rows, samples]``, with 8 samples of black on each side."""
    frame = np.zeros((height(fmt), width(text, fmt) + 16), np.uint32)
    write(frame, fmt, text, 8, 0, ink=255, paper=None)
    return (frame & 255) / 255


def bars_and_gaps(profile: Floats) -> tuple[Floats, Floats]:
    """Lengths of what is above half amplitude, and of the gaps between, at linearly interpolated crossings."""
    padded = np.r_[0.0, profile, 0.0]
    at = np.flatnonzero((padded[:-1] >= 0.5) != (padded[1:] >= 0.5))
    lengths = np.diff(at + (0.5 - padded[at]) / (padded[at + 1] - padded[at]))
    return lengths[::2], lengths[1::2]


def ink_rows(text: str, fmt: Format) -> tuple[int, int]:
    """First row with ink of at least half amplitude, and the one after the last."""
    rows = np.flatnonzero(drawn(text, fmt).max(axis=1) >= 0.5)
    return int(rows[0]), int(rows[-1]) + 1
