"""Captions and counts lie within what a set shows, on a new frame, and what cannot be shown is refused."""

import numpy as np
import pytest
from numpy.typing import NDArray

from appliance.errors import Refused
from appliance.lettering import caption, count, fits, height, width
from appliance.video.formats import FORMATS, Format

EVERY = pytest.mark.parametrize("fmt", FORMATS.values(), ids=FORMATS)
LINES = ("Full white 10 s · go starts", "Any key: black at once")


def picture(fmt: Format, word: int) -> NDArray[np.uint32]:
    """A frame of one colour."""
    return np.full((fmt.lines, fmt.samples), word, np.uint32)


def changed(before: NDArray[np.uint32], after: NDArray[np.uint32]) -> tuple[int, int, int, int]:
    """First and last changed sample, first and last changed row."""
    rows, columns = np.nonzero(before != after)
    return columns.min(), columns.max(), rows.min(), rows.max()


@EVERY
@pytest.mark.parametrize("high", [False, True])
def test_a_caption_lies_in_the_safe_area(fmt: Format, high: bool) -> None:
    """All lit ink lies within the middle 80 % of the picture, centred, in its lower or upper half."""
    black = picture(fmt, 0x101010)
    left, right, top, bottom = changed(black, caption(black, fmt, LINES, high=high))
    assert (left + right) / 2 == pytest.approx(359.5, abs=3)
    assert right - left <= 0.8 * float(fmt.line_system.active_samples)
    assert top >= 0.1 * fmt.lines
    assert bottom < 0.9 * fmt.lines
    assert bottom < fmt.lines / 2 if high else top > fmt.lines / 2


@EVERY
def test_a_caption_leaves_the_frame_and_the_rest_of_the_picture_alone(fmt: Format) -> None:
    """The frame handed in is untouched, the new one differs near the caption only, and stays C-contiguous uint32."""
    white = picture(fmt, 0xFFFFFF)
    captioned = caption(white, fmt, LINES)
    left, right, top, bottom = changed(white, captioned)
    assert (white == 0xFFFFFF).all()
    assert right - left < 0.88 * fmt.samples
    assert bottom - top < fmt.lines * 3 // 10
    assert captioned.dtype == np.uint32
    assert captioned.flags.c_contiguous


def test_no_lines_change_nothing() -> None:
    """No lines, or blank ones, give an equal frame that is a new one."""
    fmt = FORMATS["480i"]
    grey = picture(fmt, 0x808080)
    for lines in ((), ("",), ("", "")):
        same = caption(grey, fmt, lines)
        assert same is not grey
        assert (same == grey).all()


@EVERY
def test_twenty_eight_ordinary_characters_fit(fmt: Format) -> None:
    """Lines of 26 to 28 characters of plain English fit in every format."""
    lines = ("Watch the corners for colour", "Then note what you have seen")
    assert [len(line) for line in lines] == [28, 28]
    assert fits(lines, fmt)
    assert max(width(line, fmt) for line in lines) <= 0.8 * float(fmt.line_system.active_samples)


@EVERY
def test_what_does_not_fit_is_refused_with_the_remedy(fmt: Format) -> None:
    """A line too long, one too wide, three lines: each refused in its own words, as ``fits`` foretells."""
    for lines, words in (
        (("twenty-nine characters, is it?"[:29],), r"29 characters; at most 28"),
        (("W" * 28,), r"samples wide in .* shorten it"),
        (("one", "two", "three"), r"3 lines: at most 2"),
    ):
        assert not fits(lines, fmt)
        with pytest.raises(Refused, match=words):
            caption(picture(fmt, 0), fmt, lines)


@EVERY
def test_a_character_the_atlas_lacks_is_refused(fmt: Format) -> None:
    """A character that no glyph stands for is named."""
    with pytest.raises(Refused, match=r"U\+2603"):
        caption(picture(fmt, 0), fmt, ("snow ☃",))


@EVERY
@pytest.mark.parametrize("corner", range(4))
def test_a_count_lies_in_its_corner(fmt: Format, corner: int) -> None:
    """Clockwise from the top left, each count touches its corner of the safe area and stays out of the middle."""
    black = picture(fmt, 0)
    left, right, top, bottom = changed(black, count(black, fmt, "10", corner))
    across, down = 0.1 * fmt.samples, 0.1 * fmt.lines
    assert across <= left
    assert right < fmt.samples - across
    assert down <= top
    assert bottom < fmt.lines - down
    assert (left > fmt.samples * 0.75) == (corner in {1, 2})
    assert (right < fmt.samples * 0.25) == (corner in {0, 3})
    assert (top > fmt.lines * 0.7) == (corner in {2, 3})
    assert (bottom < fmt.lines * 0.3) == (corner in {0, 1})


@EVERY
@pytest.mark.parametrize(
    ("word", "ink"),
    [(0xFFFFFF, 16), (0xFFFF00, 16), (0x00FF00, 16), (0x0000FF, 191), (0xFF0000, 191), (0, 191), (0x404040, 191)],
)
def test_a_count_stands_out_from_the_picture(fmt: Format, word: int, ink: int) -> None:
    """Dark on white, yellow and green, grey on red, blue, dark grey and black: by the luma of BT.601."""
    field = picture(fmt, word)
    counted = count(field, fmt, "8", 1)
    assert ink * 0x010101 in counted
    assert (counted == word).mean() > 0.99
    assert (field == word).all()


@EVERY
def test_a_count_steps_only_its_own_box(fmt: Format) -> None:
    """All figures are as wide, and keep to the same rows, so a countdown does not jump."""
    black = picture(fmt, 0)
    assert len({width(str(figure), fmt) for figure in range(10)}) == 1
    boxes = [changed(black, count(black, fmt, str(figure), 0)) for figure in range(10)]
    tops, bottoms = {box[2] for box in boxes}, {box[3] for box in boxes}
    assert max(tops) - min(tops) <= fmt.lines_per_row
    assert max(bottoms) - min(bottoms) <= fmt.lines_per_row
    assert max(bottoms) - min(tops) < height(fmt)


@pytest.mark.parametrize(
    ("text", "corner", "words"), [("10", 4, r"corner 4.*0 top left"), ("10 seconds", 0, "shorten")]
)
def test_a_count_that_cannot_be_is_refused(text: str, corner: int, words: str) -> None:
    """A fifth corner, or more than a few characters, is refused with the remedy."""
    fmt = FORMATS["288p"]
    with pytest.raises(Refused, match=words):
        count(picture(fmt, 0), fmt, text, corner)
