"""Tests of a code as a picture: whole modules, nearly square on a tube, mid grey, and nothing but the code."""

from pathlib import Path

import numpy as np
import pytest

from appliance.drawing.area import Area
from appliance.errors import Refused
from appliance.lettering import safe_area, width
from appliance.patterns.code_page import LEAST_LINES, LEAST_SAMPLES, QUIET, code_page, module_size
from appliance.video.formats import FORMATS, Format
from appliance.video.zones import zone
from tests.lettering.test_reading import as_seen, needs_reader, read, words

WORDS = ("Visit", "4321", "2 of 9", "1/30 sec", "dim", "room")


def modules(side: int) -> np.ndarray:
    """Modules at random, the corners dark."""
    chance = np.random.default_rng(side).random((side, side)) < 0.5
    chance[0, 0] = chance[0, -1] = chance[-1, 0] = True
    return chance


@pytest.mark.parametrize("fmt", FORMATS.values(), ids=FORMATS)
@pytest.mark.parametrize("side", [21, 37, 41, 45, 49, 53])
def test_a_module_is_as_large_and_as_square_as_it_goes(fmt: Format, side: int) -> None:
    """Within an eighth of a square on a 4:3 tube, above the least, within the safe area; one row more has no room."""
    left, top, right, bottom = safe_area(fmt)
    size = module_size(fmt, side, WORDS)
    assert 7 / 8 < size.samples * float(fmt.pixel_aspect) / size.rows < 8 / 7
    assert size.samples >= LEAST_SAMPLES
    assert size.rows >= LEAST_LINES * fmt.lines_per_row
    assert side * size.rows <= bottom - top
    assert (side + QUIET) * size.samples <= right - left
    wider = (side + QUIET) * round((size.rows + 1) / fmt.pixel_aspect) + max(width(line, fmt) for line in WORDS)
    assert (size.rows + 1) * side > bottom - top or wider > right - left


@pytest.mark.parametrize("fmt", FORMATS.values(), ids=FORMATS)
def test_the_middle_of_each_module_is_the_code_s(fmt: Format) -> None:
    """Dark is black and light is mid grey, module by module; around the code nothing for four modules."""
    side = 45
    wanted = modules(side)
    frame = code_page(fmt, wanted, WORDS)
    assert frame.shape == (fmt.lines, fmt.samples)
    assert frame.dtype == np.uint32
    size = module_size(fmt, side, WORDS)
    left, top, _, bottom = safe_area(fmt)
    first = (top + bottom - side * size.rows) // 2
    rows = first + np.arange(-QUIET, side + QUIET) * size.rows + size.rows // 2
    samples = left + np.arange(-QUIET, side + QUIET) * size.samples + size.samples // 2
    seen = np.full((len(rows), len(samples)), 0x808080)
    there = (rows >= 0) & (rows < fmt.lines)
    seen[there] = frame[np.ix_(rows[there], samples)]
    assert (seen == np.where(np.pad(wanted, QUIET), 0, 0x808080)).all()
    area = Area.of(fmt)
    assert left - QUIET * size.samples >= area.left
    assert first - QUIET * size.rows >= area.top - size.rows


def test_words_stand_beside_the_code_and_not_in_it() -> None:
    """With words the code is the same where both have room; they are dark, in the right third of the picture."""
    fmt = FORMATS["240p"]
    bare, said = code_page(fmt, modules(41)), code_page(fmt, modules(41), WORDS)
    differs = np.nonzero((bare != said).any(axis=0))[0]
    assert module_size(fmt, 41) == module_size(fmt, 41, WORDS)
    assert differs.min() > zone(fmt, 3).left
    assert differs.max() <= safe_area(fmt)[2]


def test_nothing_is_brighter_than_mid_grey() -> None:
    """A tube does not swell and a camera is not blinded."""
    for fmt in FORMATS.values():
        assert (code_page(fmt, modules(49), WORDS) & 255).max() == 0x80


def test_what_cannot_be_shown_is_refused() -> None:
    """Too many modules, no square, too many words: each says so."""
    fmt = FORMATS["240p"]
    with pytest.raises(Refused, match="177 modules"):
        code_page(fmt, modules(177))
    with pytest.raises(Refused, match="square"):
        code_page(fmt, np.zeros((4, 5), bool))
    with pytest.raises(Refused, match="words"):
        code_page(fmt, modules(21), ("a",) * 9)


@needs_reader
def test_the_words_are_read_back_through_a_poor_channel(tmp_path: Path) -> None:
    """What stands beside the code, in every format, by a reader that knows nothing of the lettering."""
    for fmt in FORMATS.values():
        frame = code_page(fmt, modules(49), WORDS) & 0xFF
        frame[:, : int(zone(fmt, 3).left)] = 0x80
        light = np.where(frame < 0x80, 255 - 2 * frame, 0).astype(np.uint32)
        assert words(read(as_seen(light, fmt), tmp_path).splitlines()) == words(WORDS), fmt.name
