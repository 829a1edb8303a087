"""The light of one field, averaged over small cells, as flashes are judged by it.

A field is cut into cells of 6 samples by 3 scanned lines: 120 × 80 of them, or 120 × 96. At six times the picture
height a cell is about a tenth of a degree wide, under which WCAG lets fine, balanced patterns go. In an interlaced
format a field holds every other row, so one line on, one off comes out as white fields between black ones.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

import numpy as np
from numpy.typing import NDArray

from appliance.video.formats import Format
from appliance.video.light import PRIMARIES_525, PRIMARIES_625, light, luminance_weights
from appliance.video.sources import Source

Words = NDArray[np.uint32]
Cells = NDArray[np.float64]

CELL_SAMPLES = 6
CELL_LINES = 3
_BAND = 48
"""Lines looked up at a time: so many stay in the processor's cache, which is three times as quick."""

_SRGB = ("IEC 61966-2-1", "1999")

SRGB_WEIGHTS: Annotated[tuple[Fraction, ...], Source("WCAG", "2.2", "relative luminance: 0.2126, 0.7152, 0.0722")] = (
    Fraction(2126, 10_000),
    Fraction(7152, 10_000),
    Fraction(722, 10_000),
)
"""Share of red, green and blue in luminance."""
SRGB_XYZ: Annotated[tuple[tuple[float, ...], ...], Source(*_SRGB, "RGB to XYZ, four decimals")] = (
    (0.4124, 0.3576, 0.1805),
    (0.2126, 0.7152, 0.0722),
    (0.0193, 0.1192, 0.9505),
)
"""Rows X, Y, Z of red, green and blue."""


def _srgb(code: int) -> float:
    """Linear light of a code, 0 to 1 (WCAG 2.2, relative luminance)."""
    signal = code / 255
    return signal / 12.92 if signal <= 0.04045 else float(((signal + 0.055) / 1.055) ** 2.4)


_TUBE = np.array([light(code) for code in range(256)])
_BOTH = _TUBE + 1j * np.array([_srgb(code) for code in range(256)])
"""By code, a tube's light as the real and a monitor's as the imaginary part: one look-up finds and averages both."""

_WEIGHTS_OF = {
    lines: np.array([float(weight) for weight in luminance_weights(primaries)])
    for lines, primaries in (("525", PRIMARIES_525), ("625", PRIMARIES_625))
}


@dataclass(frozen=True)
class FieldLight:
    """One field by cells: ``float64[rows, columns]``, white at 1.

    ``tube``: luminance by BT.1886 and the line system's primaries, as BT.1702 models the screen. ``monitor``:
    relative luminance as WCAG defines it. ``guns``: linear red, green and blue of the latter, ``[3, rows, columns]``.
    """

    tube: Cells
    monitor: Cells
    guns: Cells


def field_light(fmt: Format, frame: Words, field: int) -> FieldLight:
    """The cells of field ``field`` of a frame ``uint32[lines, samples]``; raises ``ValueError`` for another size."""
    if frame.shape != (fmt.lines, fmt.samples):
        raise ValueError(f"a frame of {frame.shape} is not {fmt.name}: {(fmt.lines, fmt.samples)}")
    rows = frame[field % 2 :: 2] if fmt.interlaced else frame
    bands = [rows[start : start + _BAND] for start in range(0, len(rows), _BAND)]
    both = np.concatenate([_guns(band) for band in bands], axis=1)
    tube = np.tensordot(_WEIGHTS_OF[fmt.line_system.name], both.real, axes=1)
    return FieldLight(tube, np.tensordot(np.array(SRGB_WEIGHTS, float), both.imag, axes=1), both.imag.copy())


def tube_light(fmt: Format, frame: Words) -> Cells:
    """Luminance of every sample, ``float64[lines, samples]``, white at 1, as ``FieldLight.tube`` has it."""
    guns = (_TUBE[frame >> shift & 255] for shift in (16, 8, 0))
    return np.asarray(sum(weight * gun for weight, gun in zip(_WEIGHTS_OF[fmt.line_system.name], guns, strict=True)))


def _guns(rows: Words) -> NDArray[np.complex128]:
    return np.stack([_average(_BOTH.take(rows >> shift & 255)) for shift in (16, 8, 0)])


def _average(values: NDArray[np.complex128]) -> NDArray[np.complex128]:
    lines, samples = values.shape
    rows = values.reshape(lines // CELL_LINES, CELL_LINES, samples).sum(axis=1)
    cells = rows.reshape(len(rows), samples // CELL_SAMPLES, CELL_SAMPLES).sum(axis=2)
    return np.asarray(cells / (CELL_LINES * CELL_SAMPLES))
