"""Frames made of few distinct rows."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from appliance.drawing.colours import BLACK, BLUE, GREEN, RED, WHITE
from appliance.drawing.frames import box, composed, crossed, flat, lay, levels, sharp_row, stack, uprights
from appliance.video.formats import FORMATS


def test_flat_frame_is_one_colour_all_over() -> None:
    """Every word of every row, to the frame's edges."""
    frame = flat(FORMATS["576i"], RED)
    assert frame.shape == (576, 720)
    assert (frame == 0xFF0000).all()


def test_stack_takes_rows_by_number() -> None:
    """Row i of the frame is the row its index names, and the frame can be handed to a screen as it is."""
    frame = stack(np.array([[1, 2], [3, 4]], dtype=np.uint32), np.array([1, 0, 1]))
    assert frame.tolist() == [[3, 4], [1, 2], [3, 4]]
    assert frame.flags.c_contiguous


def test_crossing_is_as_bright_as_the_brighter_line() -> None:
    """On a whole row the vertical adds nothing; on a half-covered one it reaches full at its middle."""
    frame = crossed(np.array([0, 0.5, 1]), np.array([0, 1, 0.5]), BLACK, WHITE) & 255
    assert frame.tolist() == [[0, 128, 255], [255, 255, 255], [128, 191, 255]]


def test_parts_are_laid_on_their_ground() -> None:
    """Inside its own rows and samples a part has its colour, elsewhere the ground is left."""
    fmt = FORMATS["240p"]
    frame = composed(fmt, [box(fmt, (100, 200), (10, 20), RED), box(fmt, (300, 400), (15, 30), WHITE)], BLUE)
    assert frame.shape == (240, 720)
    assert (frame[12, 150], frame[12, 350], frame[17, 350], frame[25, 150], frame[12, 250]) == (
        0xFF0000, 0xFF, 0xFFFFFF, 0xFF, 0xFF,
    )  # fmt: skip


def test_one_colour_and_many_colours_are_composed_alike() -> None:
    """The quick way of a single colour gives what the general one gives, to a code."""
    fmt = FORMATS["576i"]
    parts = [box(fmt, (100.3, 200.8), (10.2, 20.7), RED), uprights(fmt, [333.4], (0, 576), RED)]
    extra = box(fmt, (600, 600), (0, 1), GREEN)
    quick, general = (composed(fmt, given) for given in (parts, [*parts, extra]))
    assert np.abs((quick >> 16).astype(int) - (general >> 16).astype(int)).max() <= 1


@given(y=st.floats(0, 570), name=st.sampled_from(sorted(FORMATS)))
def test_sharp_row_is_the_nearest_that_is_sharp(y: float, name: str) -> None:
    """A horizontal there covers whole rows, and it is no further than half a row off."""
    fmt = FORMATS[name]
    place = sharp_row(fmt, y)
    covered = levels(fmt, [place], (0, 720), WHITE).down
    assert set(np.unique(covered)) <= {0.0, 1.0}
    assert abs(place - y) <= 0.5


def test_lay_mixes_by_share() -> None:
    """Half a share of white on red is half way between; what is not covered stays."""
    words = np.full((4, 6), 0xFF0000, np.uint32)
    lay(words, np.array([[0, 0.5, 1.0]]), 2, 3, WHITE)
    assert words[2].tolist() == [0xFF0000] * 4 + [0xFF8080, 0xFFFFFF]
    assert (words[[0, 1, 3]] == 0xFF0000).all()
