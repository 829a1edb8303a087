"""Bakes the glyph atlas from a font: ``python -m appliance.lettering.bake``.

The font is DejaVu Sans Bold from Debian's package ``fonts-dejavu-core``; its licence and source lie beside the
atlas in ``atlas_licence.txt``. Only this script needs the font and pygame.

The sizes follow from what a small set shows at 2 m through composite: strokes and gaps of at least 4 samples and
2 scanned lines, and 28 characters within 80 % of the line. So the letters are narrowed to about half their width,
and thinned along the line only, until stem and gap are both wide enough. Along the line every edge is the running
integral of a sine-squared pulse of 250 ns half-amplitude duration, also in 625 lines, where it keeps clear of the
subcarrier of 4.43 MHz. Down the rows a row carries the share of its height that is covered; in the interlaced
formats that of two rows' height, so that no edge lives in one field alone and twitters.
"""

from __future__ import annotations

import argparse
import functools
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from appliance.drawing.profiles import pulse
from appliance.errors import Refused
from appliance.lettering.atlas import ATLAS, MARGIN
from appliance.video.formats import FORMATS, LINES_525, Format

if TYPE_CHECKING:
    from pygame.freetype import Font

FONT = Path("/usr/share/fonts/truetype/dejavu/DejaVuSans-Bold.ttf")
"""Where Debian's package fonts-dejavu-core lays it."""

SIGNS = "‘’“”–—…−≤≥≈→←↑↓ΔΩ"
"""What the atlas has beyond ASCII and Latin-1."""

CHARACTERS = "".join(map(chr, (*range(0x20, 0x7F), *range(0xA0, 0xAD), *range(0xAE, 0x100)))) + SIGNS

X_HEIGHT = {"240p": 13, "480i": 26, "288p": 15, "576i": 31}
"""Rows of a small letter: whole, so that its bars are crisp, and equally tall on the tube within 3 %."""

X_HEIGHT_OF_EM = 1120 / 2048
"""The font's own (its OS/2 table, sxHeight)."""

EM_WIDTH = 30.5
"""Samples of the em in 525 lines; in 625 the same share of the picture."""

FINE = 8
"""Steps to a sample and to a row while drawing."""

THINNED = 7
"""Steps taken off each stroke of a letter or figure along the line: 7/8 sample."""

CLEAR = 17
"""Steps kept free at least on each side of a glyph: 17/8 samples, so that two never come within 4 but by rounding."""

FIGURE = 22 * FINE
"""Steps of a figure's advance, the same for all, so that a count does not jump."""

HAD = 3.375
"""Samples of 250 ns."""

Floats = NDArray[np.float64]
Codes = NDArray[np.uint8]


@dataclass(frozen=True)
class Size:
    """How large the letters of a format are: ``across`` samples and ``down`` rows to the em, and their box."""

    across: float
    down: float
    aperture: int

    @property
    def above(self) -> int:
        """Rows above the baseline: room for a capital with an accent."""
        return round(self.down * 0.97)

    @property
    def rows(self) -> int:
        """Rows of the box: below the baseline there is room for a descender."""
        return self.above + round(self.down * 0.29)


def find_size(fmt: Format) -> Size:
    """The size of the letters in ``fmt``."""
    share = fmt.line_system.active_samples / LINES_525.active_samples
    return Size(EM_WIDTH * float(share), X_HEIGHT[fmt.name] / X_HEIGHT_OF_EM, fmt.lines_per_row)


def _thinned(ink: Codes, character: str) -> Codes:
    """The ink with ``THINNED`` steps less of every stroke along the line; signs are thin enough as they are."""
    if not (character.isalpha() or character.isdecimal()):
        return ink
    left = ink.shape[1] - THINNED
    return functools.reduce(np.minimum, [ink[:, step : step + left] for step in range(THINNED + 1)])


def _across(ink: Floats) -> Floats:
    """Band-limited along the line and taken at the middle of every sample."""
    reach = int(HAD * FINE)
    kernel = pulse(np.arange(-reach, reach + 1) / FINE, HAD)
    smooth = np.apply_along_axis(np.convolve, 1, ink, kernel / kernel.sum(), "same")
    taken: Floats = (smooth[:, FINE // 2 - 1 :: FINE] + smooth[:, FINE // 2 :: FINE]) / 2
    return taken


def _down(ink: Floats, aperture: int) -> Floats:
    """The share of ``aperture`` rows' height, around the middle of each row, that is covered."""
    halves = ink.reshape(-1, FINE // 2, ink.shape[1]).mean(axis=1)
    tall = np.pad(halves, ((aperture - 1, aperture - 1), (0, 0)))
    shares: Floats = np.lib.stride_tricks.sliding_window_view(tall, 2 * aperture, axis=0)[::2].mean(axis=2)
    return shares


def _drawn(font: Font, character: str) -> tuple[Codes, tuple[int, int, int]]:
    """The ink of a glyph in fine steps, the free steps left and right of it, and how far it reaches up."""
    left, _, _, top, advance, _ = font.get_metrics(character)[0]
    raw, (width, height) = font.render_raw(character)
    ink = np.frombuffer(raw, np.uint8).reshape(height, width)
    thin = _thinned(ink, character)
    if character in "0123456789":
        left = (FIGURE - thin.shape[1]) // 2
        return thin, (left, FIGURE - thin.shape[1] - left, top)
    return thin, (left, round(advance) - left - width, top)


def _placed(ink: Codes, sides: tuple[int, int], y: int, rows: int) -> tuple[Floats, int]:
    """The ink in a box of ``rows`` with margins around it, and its advance in samples."""
    height, width = ink.shape
    left, right = (max(side, CLEAR) for side in sides)
    advance = left + width + right
    samples = round(advance / FINE)
    x = MARGIN * FINE + left + round((samples * FINE - advance) / 2)
    canvas = np.zeros((rows * FINE, (samples + 2 * MARGIN) * FINE))
    canvas[y : y + height, x : x + width] = ink / 255
    return canvas, samples


def _blank(font: Font, size: Size) -> tuple[Floats, int]:
    samples = round(font.get_metrics(" ")[0][4] / FINE)
    return np.zeros((size.rows, samples + 2 * MARGIN)), samples


def glyph(font: Font, character: str, size: Size) -> tuple[Codes, int]:
    """``uint8[rows, advance + 2 · MARGIN]`` of one character, and its advance in samples."""
    if character.isspace():
        share, advance = _blank(font, size)
    else:
        ink, (left, right, top) = _drawn(font, character)
        canvas, advance = _placed(ink, (left, right), size.above * FINE - top, size.rows)
        share = _across(_down(canvas, size.aperture))
    # The hair above a half keeps ties from going with the last bit of a sum, which differs between machines.
    return np.floor(255 * np.clip(share, 0, 1) + 0.500001).astype(np.uint8), advance


def open_font(path: Path, size: Size) -> Font:
    """The font at ``size``, in fine steps."""
    from pygame import freetype

    freetype.init()
    font = freetype.Font(str(path))
    font.size = (size.across * FINE, size.down * FINE)
    font.origin = True
    return font


def check_font(path: Path) -> None:
    """Raises Refused when there is no font at ``path`` or it lacks a character that the atlas has."""
    if not path.is_file():
        raise Refused(f"font {path}: not there; install Debian's package fonts-dejavu-core or name one with --font")
    known = open_font(path, find_size(FORMATS["240p"])).get_metrics(CHARACTERS)
    if lacking := [character for character, metrics in zip(CHARACTERS, known, strict=True) if metrics is None]:
        raise Refused(f"font {path}: has no {' '.join(lacking)}; choose another or leave these out of SIGNS")


def bake(path: Path = FONT) -> dict[str, NDArray[np.generic]]:
    """Everything the atlas holds, by name; raises Refused as :func:`check_font` does."""
    check_font(path)
    atlas: dict[str, NDArray[np.generic]] = {
        "characters": np.array([ord(character) for character in CHARACTERS], np.uint32),
        "font_sha256": np.frombuffer(hashlib.sha256(path.read_bytes()).digest(), np.uint8),
    }
    for name, fmt in FORMATS.items():
        size = find_size(fmt)
        font = open_font(path, size)
        glyphs, advances = zip(*(glyph(font, character, size) for character in CHARACTERS), strict=True)
        atlas[f"coverage_{name}"] = np.concatenate(glyphs, axis=1)
        atlas[f"advances_{name}"] = np.array(advances, np.uint8)
        atlas[f"baseline_{name}"] = np.array(size.above, np.uint8)
    return atlas


def main(arguments: Sequence[str] | None = None) -> None:
    """Bakes and writes the atlas beside this module, or where ``--out`` says."""
    parser = argparse.ArgumentParser(description="Bake the glyph atlas from a font.")
    parser.add_argument("--font", type=Path, default=FONT)
    parser.add_argument("--out", type=Path, default=ATLAS)
    chosen = parser.parse_args(arguments)
    try:
        atlas = bake(chosen.font)
    except Refused as reason:
        parser.error(str(reason))
    np.savez_compressed(chosen.out, **atlas)  # type: ignore[arg-type]  # numpy's stub takes no mapping


if __name__ == "__main__":
    main()
