"""The words of a viewing: they fit, they can be read, and they speak to people."""

import os
import re
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from appliance.findings import fits_everywhere
from appliance.lettering import caption
from appliance.video.formats import FORMATS, Format
from tests.activities.viewing_lines import lines
from tests.lettering.test_reading import as_seen, needs_reader, read, words

SHARE = 1 if os.environ.get("FIELDMOUSE_READ_ALL") else 54
"""One caption in so many is read; all of them when asked for."""
EACH = 12
"""Captions to a page of the reader."""


def test_every_line_fits_every_screen() -> None:
    """By the lettering's own measure, in every format."""
    assert len(lines()) > 300
    assert [line for line in lines() if not fits_everywhere(line)] == []


def test_no_line_shows_a_name_that_only_the_program_knows() -> None:
    """No key of a kind, no snake or kernel case, no bare number of a zone."""
    kinds = {"conv-edge", "hum-1", "lin-v", "off-spot", "goes_on", "crosshatch:white"}
    for line in lines():
        assert not re.search(r"_|KEY|\bGPIO|zone \d|None|\{|\}", line), line
        assert not kinds & set(line.split()), line


def stacks(fmt: Format) -> list[tuple[list[str], NDArray[np.uint32]]]:
    """Captions of two lines on mid grey, one below the other, with what they say."""
    every = lines()
    every += every[: len(every) % 2]  # a line alone, apart from the block of the others, the reader leaves out
    pairs = [every[n : n + 2] for n in range(0, len(every), 2)]
    grey = np.full((fmt.lines, fmt.samples), 0x5A5A5A, np.uint32)
    found = []
    for n in range(0, len(pairs), EACH * SHARE):
        chosen = pairs[n : n + EACH * SHARE : SHARE]
        parts = [caption(grey, fmt, pair)[fmt.lines * 11 // 20 :] for pair in chosen]
        found.append(([line for pair in chosen for line in pair], np.concatenate(parts)))
    return found


@needs_reader
@pytest.mark.parametrize("fmt", FORMATS.values() if SHARE == 1 else [FORMATS["240p"]], ids=lambda fmt: fmt.name)
def test_lines_are_read_back_through_a_poor_channel(fmt: Format, tmp_path: Path) -> None:
    """Every letter and figure is read right after a 2.5 MHz low-pass, at 4:3, as the catalogue's captions are.

    Case and gaps are left out: a lone s has no case by its shape, and the reader joins "10 s".
    """
    for said, frame in stacks(fmt):
        seen = read(as_seen(frame, fmt), tmp_path).splitlines()
        assert "".join(words(seen)).casefold() == "".join(words(said)).casefold()
