"""Text is put where it was asked for, in the greys asked for, and nowhere else."""

import numpy as np
import pytest
from numpy.typing import NDArray

from appliance.errors import Refused
from appliance.lettering import height, width, write
from appliance.video.formats import FORMATS, Format
from tests.lettering.drawn import drawn

FMT = FORMATS["240p"]


def blank(code: int) -> NDArray[np.uint32]:
    """A 240p frame of one grey."""
    return np.full((240, 720), code * 0x010101, np.uint32)


def reach(line: NDArray[np.integer]) -> tuple[int, int]:
    """Where a line first and last differs from its beginning."""
    places = np.flatnonzero(line != line[0])
    return int(places[0]), int(places[-1])


def test_text_lies_in_its_box() -> None:
    """The ink lies within the box asked for, but for the soft edges, which reach 3.4 samples further at most."""
    frame = blank(0)
    write(frame, FMT, "Hxpg", 100, 50, paper=None)
    rows, columns = np.nonzero(frame)
    assert rows.min() >= 50
    assert rows.max() < 50 + height(FMT)
    assert columns.min() >= 100 - 3
    assert columns.max() < 100 + width("Hxpg", FMT) + 3


def test_ink_comes_up_to_its_grey_and_no_further() -> None:
    """A broad stroke reaches 75 % grey on black, never more, and the colours stay equal."""
    frame = blank(0)
    write(frame, FMT, "H", 100, 50, paper=None)
    assert {int(word) for word in np.unique(frame)} <= {code * 0x010101 for code in range(192)}
    assert frame.max() == 0xBFBFBF


def test_ink_is_mixed_with_what_is_there_channel_by_channel() -> None:
    """Dark ink at full strength on yellow replaces all three channels."""
    frame = np.full((240, 720), 0xFFFF00, np.uint32)
    write(frame, FMT, "H", 100, 50, ink=16, paper=None)
    assert 0x101010 in frame
    assert frame.max() == 0xFFFF00
    assert ((frame & 0xFF) <= 16).all()


def test_the_plate_is_dark_and_a_little_larger_than_the_text() -> None:
    """On white, the plate's code 16 reaches at least one stroke beyond the box on all sides; beyond that is white."""
    frame = blank(255)
    write(frame, FMT, "ox", 100, 50)
    row, column = frame[50 + height(FMT) // 2] & 255, frame[:, 100] & 255
    left, right = reach(row)
    top, bottom = reach(column)
    assert 100 - 24 < left < 100 - 4
    assert 100 + width("ox", FMT) + 4 < right < 100 + width("ox", FMT) + 24
    assert 50 - 8 < top <= 50 - 2
    assert 50 + height(FMT) + 2 <= bottom + 1 < 50 + height(FMT) + 8
    assert frame.min() == 0x101010


def test_the_plates_upright_edges_are_soft() -> None:
    """The plate's edge takes a sine-squared edge's time: 10 to 90 % in about 0.96 of the HAD, 3.375 samples (525)."""
    frame = blank(255)
    write(frame, FMT, "ox", 100, 50)
    edge = (255.0 - (frame[50, 70:100] & 255)) / 239
    places = np.interp([0.1, 0.9], edge[: edge.argmax() + 1], np.arange(edge.argmax() + 1))
    # 0.964·HAD from the integral of cos², solved by hand for 10 % and 90 %.
    assert places[1] - places[0] == pytest.approx(0.964 * 3.375, abs=0.25)


@pytest.mark.parametrize(("x", "y"), [(-30, 50), (700, 50), (100, -12), (100, 232), (-300, 50), (100, 900)])
def test_what_lies_outside_the_frame_is_left_out(x: int, y: int) -> None:
    """Text half or wholly outside draws the rest as it would on a larger frame."""
    large = np.zeros((240 + 2000, 720 + 2000), np.uint32)
    write(large, FMT, "Any key", x + 1000, y + 1000)
    frame = blank(0)
    write(frame, FMT, "Any key", x, y)
    assert (frame == large[1000:1240, 1000:1720]).all()


def test_a_letter_and_its_accent_count_as_one_character() -> None:
    """A decomposed é is drawn as the composed one."""
    assert (drawn("cafe\u0301", FMT) == drawn("caf\u00e9", FMT)).all()


@pytest.mark.parametrize("fmt", FORMATS.values(), ids=FORMATS)
def test_every_promised_character_is_there_and_differs_from_the_others(fmt: Format) -> None:
    """ASCII, Latin-1 letters and the signs of measurement each have a picture of their own."""
    signs = {*map(chr, range(0x21, 0x7F)), *map(chr, range(0xC0, 0x100)), *"°·–−×±µ½%→←↑↓"}
    pictures = {drawn(sign, fmt).tobytes() for sign in signs}
    assert len(pictures) == len(signs)
    assert all(drawn(sign, fmt).max() > 0.5 for sign in signs)


def test_a_character_that_is_not_there_is_refused_by_name() -> None:
    """The refusal names the character, the text and what to do, and leaves the frame alone."""
    frame = blank(255)
    with pytest.raises(Refused, match=r"Zeit: 時.*U\+6642.*bake again"):
        write(frame, FMT, "Zeit: 時", 100, 50)
    assert (frame == 0xFFFFFF).all()


def test_nothing_to_write_is_nothing_wide() -> None:
    """An empty text has no width, and without a plate changes nothing."""
    frame = blank(40)
    write(frame, FMT, "", 100, 50, paper=None)
    assert width("", FMT) == 0
    assert (frame == 0x282828).all()
