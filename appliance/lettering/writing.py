"""One line of text onto a frame."""

import math

import numpy as np
from numpy.typing import NDArray

from appliance.drawing.profiles import half_amplitude, span
from appliance.lettering.atlas import MARGIN, sheet
from appliance.video.formats import Format

Frame = NDArray[np.uint32]
"""``uint32[lines, samples]``, XRGB."""

Shares = NDArray[np.floating]

PLATE_SAMPLES = 12
"""How far a plate reaches beyond the text to the left and right."""


def plate_rows(fmt: Format) -> int:
    """How far a plate reaches beyond the text above and below: 3 rows, 6 interlaced."""
    return 3 * fmt.lines_per_row


def height(fmt: Format) -> int:
    """Rows of a line of text, from above a capital's accent to below a descender."""
    return sheet(fmt).rows


def width(text: str, fmt: Format) -> int:
    """Samples that ``text`` takes along the line; raises Refused when the atlas lacks one of its characters."""
    return sum(advance for _, advance in sheet(fmt).glyphs(text))


def coverage(text: str, fmt: Format) -> Shares:
    """``float32[rows, width + 2 · MARGIN]``: how far the ink of ``text`` covers each sample, 0 to 1.

    Raises Refused when the atlas lacks a character.
    """
    glyphs = sheet(fmt)
    shares = np.zeros((glyphs.rows, width(text, fmt) + 2 * MARGIN), np.float32)
    x = 0
    for start, advance in glyphs.glyphs(text):
        shares[:, x : x + advance + 2 * MARGIN] += glyphs.coverage[:, start : start + advance + 2 * MARGIN]
        x += advance
    return np.minimum(shares / 255, 1)


def _mix(words: Frame, shares: Shares, grey: int) -> Frame:
    mixed = np.zeros(words.shape, np.uint32)
    full, rest = grey * shares + 0.5, 1 - shares
    for shift in (0, 8, 16):
        channel = (words >> shift) & 255
        mixed |= (channel * rest + full).astype(np.uint32) << shift
    return mixed


def lay(frame: Frame, shares: Shares, x: int, y: int, grey: int) -> None:
    """Mixes ``grey`` into ``frame`` in place where ``shares`` cover it, their top-left at sample ``x``, row ``y``.

    What lies outside the frame is left out.
    """
    lines, samples = frame.shape
    rows, columns = shares.shape
    top, left, bottom, right = max(y, 0), max(x, 0), min(y + rows, lines), min(x + columns, samples)
    if top < bottom and left < right:
        part = shares[top - y : bottom - y, left - x : right - x]
        frame[top:bottom, left:right] = _mix(frame[top:bottom, left:right], part, grey)


def plate(frame: Frame, fmt: Format, place: tuple[int, int], size: tuple[int, int], paper: int) -> None:
    """A plate in place for text whose box of ``size``, samples and rows, begins at ``place``, sample and row.

    It is a little larger than the text, and its upright edges are band-limited.
    """
    (x, y), (across, down) = place, size
    had, reach = half_amplitude(fmt), math.ceil(half_amplitude(fmt))
    top, bottom = y - plate_rows(fmt), y + down + plate_rows(fmt)
    left, right = x - PLATE_SAMPLES, x + across + PLATE_SAMPLES
    edge = np.broadcast_to(span(reach, 3 * reach, 2 * reach, had), (bottom - top, 2 * reach))
    lay(frame, edge, left - reach, top, paper)
    lay(frame, edge[:, ::-1], right - reach, top, paper)
    frame[max(top, 0) : max(bottom, 0), max(left + reach, 0) : max(right - reach, 0)] = paper * 0x010101


def write(frame: Frame, fmt: Format, text: str, x: int, y: int, *, ink: int = 191, paper: int | None = 16) -> None:
    """Draws one line of ``text`` into ``frame`` in place, the top-left of its box at sample ``x``, row ``y``.

    ``ink`` and ``paper`` are grey codes 0–255; ``paper`` is that of the plate under the text, which reaches
    ``PLATE_SAMPLES`` and :func:`plate_rows` further, or None for none. What lies outside the frame is left out.
    Raises Refused when the atlas lacks a character; the frame is untouched then.
    """
    shares = coverage(text, fmt)
    if paper is not None:
        plate(frame, fmt, (x, y), (width(text, fmt), height(fmt)), paper)
    lay(frame, shares, x - MARGIN, y, ink)
