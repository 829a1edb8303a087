"""Frames made of few distinct rows."""

import numpy as np

from appliance.drawing.colours import BLACK, RED, WHITE
from appliance.drawing.frames import crossed, flat, stack
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
