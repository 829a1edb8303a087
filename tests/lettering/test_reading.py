"""Captions are read back by a reader that knows nothing of the atlas, through a poor composite channel."""

import os
import re
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import convolve1d
from scipy.signal import firwin

from appliance.lettering import caption
from appliance.video.formats import FORMATS, Format

CAPTIONS = (
    ("Full white 10 s · go starts", "Any key: black at once"),
    ("Crosshatch, 16 by 12 cells", "vary: next density"),
    ("Purity: red field, zone 5", "note: a finding here"),
    ("Warm-up: 14 min of 30 left", "Wheelbarrow, quick jump fox"),
    ("Bars 100/0/75/0, PAL-60", "288p, 50.08 Hz, 312 lines"),
    ("Raise brightness slowly", "until +4 % can just be seen"),
)

CHANNEL = firwin(63, 2.5e6, fs=13.5e6)
"""A luminance low-pass of 2.5 MHz: that of a plain set with a notch before the subcarrier (common practice)."""

needs_reader = pytest.mark.skipif(
    shutil.which("tesseract") is None, reason="no tesseract to read with: Debian's package tesseract-ocr"
)


def as_seen(frame: NDArray[np.uint32], fmt: Format) -> Image.Image:
    """The grey ``frame`` after the channel, at 4:3, dark on light as readers are used to."""
    received = np.clip(convolve1d((frame & 255).astype(float), CHANNEL, axis=1, mode="nearest"), 0, 255)
    scale = 3 / fmt.lines_per_row
    width = round(fmt.samples * float(fmt.pixel_aspect) * scale)
    picture = Image.fromarray((255 - received).astype(np.uint8))
    return picture.resize((width, round(len(frame) * scale)), Image.Resampling.BICUBIC)


def stacked(fmt: Format) -> Image.Image:
    """The lower parts of mid-grey pictures with each of the captions, one below the other."""
    grey = np.full((fmt.lines, fmt.samples), 0x5A5A5A, np.uint32)
    parts = [caption(grey, fmt, lines)[fmt.lines * 11 // 20 :] for lines in CAPTIONS]
    return as_seen(np.concatenate(parts), fmt)


def read(picture: Image.Image, folder: Path) -> str:
    """What tesseract reads in ``picture``."""
    path = folder / "picture.png"
    picture.save(path)
    command = ["tesseract", str(path), "-", "--psm", "6", "--dpi", "150"]
    limited = {**os.environ, "OMP_THREAD_LIMIT": "1"}
    return subprocess.run(command, check=True, capture_output=True, text=True, env=limited).stdout


def words(lines: Sequence[str]) -> list[str]:
    """The words and figures of ``lines``, without the signs between them."""
    return re.findall(r"\w+", " ".join(lines))


@needs_reader
@pytest.mark.parametrize("fmt", FORMATS.values(), ids=FORMATS)
def test_captions_are_read_back_through_a_poor_channel(fmt: Format, tmp_path: Path) -> None:
    """Every word and figure of six captions is read right after a 2.5 MHz low-pass, at 4:3."""
    asked = words([line for lines in CAPTIONS for line in lines])
    assert words(read(stacked(fmt), tmp_path).splitlines()) == asked
