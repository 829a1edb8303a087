"""The 4:3 picture for people with square pixels."""

import numpy as np
import pytest

from appliance.drawing.tube import as_on_tube, channels
from appliance.video.formats import FORMATS


def test_channels_are_red_green_blue() -> None:
    """XRGB words come apart in the order picture files have."""
    assert channels(np.array([[0x112233]], dtype=np.uint32)).tolist() == [[[0x11, 0x22, 0x33]]]


@pytest.mark.parametrize("name", FORMATS)
def test_picture_is_exactly_4_by_3(name: str) -> None:
    """648 × 486 and 768 × 576 square pixels are 4:3 without a remainder."""
    fmt = FORMATS[name]
    height, width, _ = as_on_tube(np.zeros((fmt.lines, fmt.samples), np.uint32), fmt).shape
    assert (width, height) == ((648, 486) if fmt.lines in (240, 480) else (768, 576))


@pytest.mark.parametrize("name", FORMATS)
def test_a_ramp_stays_where_it_was(name: str) -> None:
    """A linear ramp along the line is read back at the places that the picture's width makes of the samples."""
    fmt = FORMATS[name]
    ramp = np.tile(np.arange(720, dtype=np.uint32) * 255 // 719, (fmt.lines, 1))
    picture = as_on_tube(ramp, fmt)[len(ramp) // 2, :, 2].astype(float)
    width = float(fmt.line_system.active_samples)
    wanted = (360 - width / 2 + (np.arange(len(picture)) + 0.5) / len(picture) * width - 0.5) * 255 / 719
    assert np.abs(picture - wanted).max() < 1.5


@pytest.mark.parametrize(("name", "black"), [("240p", 3), ("480i", 3), ("288p", 0), ("576i", 0)])
def test_lines_that_are_not_coded_are_black(name: str, black: int) -> None:
    """480 of 486 lines are coded: three are missing above and below."""
    fmt = FORMATS[name]
    lit = as_on_tube(np.full((fmt.lines, 720), 0xFFFFFF, np.uint32), fmt)[:, 300, 0] > 0
    assert lit.tolist() == [False] * black + [True] * (len(lit) - 2 * black) + [False] * black
