"""A number as large as the picture allows: to be read off a photograph of the screen."""

import numpy as np

from appliance.errors import Refused
from appliance.lettering.captions import DARK, GREY, safe_area
from appliance.lettering.writing import Frame, Shares, coverage, lay, plate
from appliance.video.formats import Format

WIDEST, HIGHEST = 3 / 4, 1 / 3
"""Shares of the safe area; what is left above and below is for captions."""


def large(frame: Frame, fmt: Format, text: str) -> Frame:
    """A new frame: ``frame`` with ``text``, some digits, in its middle on a plate.

    Raises Refused for a text that does not fit even at the size of captions, or a character that the atlas lacks.
    """
    left, top, right, bottom = safe_area(fmt)
    shares = _inked(coverage(text, fmt))
    times = min(int((right - left) * WIDEST) // shares.shape[1], int((bottom - top) * HIGHEST) // shares.shape[0])
    if times < 1:
        raise Refused(f"number {text!r}: {shares.shape[1]} samples wide in {fmt.name}; fewer digits are wanted")
    grown = _grown(shares, times)
    rows, columns = grown.shape
    x, y = (left + right - columns) // 2, (top + bottom - rows) // 2
    numbered = frame.copy()
    plate(numbered, fmt, (x, y), (columns, rows), DARK)
    lay(numbered, grown, x, y, GREY)
    return numbered


def _inked(shares: Shares) -> Shares:
    """The rows with ink, for digits need no room for accents and tails."""
    rows = np.flatnonzero(shares.any(axis=1))
    return shares[rows[0] : rows[-1] + 1] if len(rows) else shares


def _grown(shares: Shares, times: int) -> Shares:
    """``times`` as large; between the samples of a line straight on, so that edges stay as soft as they were."""
    columns = shares.shape[1]
    places = (np.arange(columns * times) + 0.5) / times - 0.5
    grown = np.stack([np.interp(places, np.arange(columns), row) for row in shares])
    return np.repeat(grown, times, axis=0).astype(np.float32)
