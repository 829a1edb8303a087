"""A large number in the middle of the picture."""

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from appliance.errors import Refused
from appliance.lettering.captions import safe_area
from appliance.lettering.large import large
from appliance.video.formats import FORMATS, Format
from tests.lettering.test_reading import as_seen, needs_reader, read

FORMAT = pytest.mark.parametrize("fmt", FORMATS.values(), ids=list(FORMATS))


def grey(fmt: Format) -> NDArray[np.uint32]:
    """Mid grey."""
    return np.full((fmt.lines, fmt.samples), 0x808080, np.uint32)


@FORMAT
@pytest.mark.parametrize("text", ["7", "12", "9999"])
def test_it_stands_in_the_middle_and_leaves_room_for_captions(fmt: Format, text: str) -> None:
    """Within the safe area; the quarters at its top and bottom stay as they were."""
    left, top, right, bottom = safe_area(fmt)
    changed = np.argwhere(large(grey(fmt), fmt, text) != grey(fmt))
    quarter = (bottom - top) // 4
    assert changed[:, 0].min() >= top + quarter
    assert changed[:, 0].max() < bottom - quarter
    assert changed[:, 1].min() >= left
    assert changed[:, 1].max() < right


@FORMAT
def test_it_is_several_times_as_high_as_a_caption(fmt: Format) -> None:
    """One digit takes a fifth of the picture's height at least: to be read off a photograph of the room."""
    bright = (large(grey(fmt), fmt, "1") & 255) > 150
    rows = np.flatnonzero(bright.any(axis=1))
    assert rows[-1] - rows[0] >= fmt.lines / 5


def test_too_much_is_refused() -> None:
    """With the number in the message."""
    fmt = FORMATS["240p"]
    with pytest.raises(Refused, match="fewer digits"):
        large(grey(fmt), fmt, "1" * 60)


@needs_reader
def test_it_is_read(tmp_path: Path) -> None:
    """By a reader that knows nothing of the atlas, through the poor channel."""
    fmt = FORMATS["240p"]
    seen = as_seen(large(grey(fmt), fmt, "2047"), fmt)
    quarter = seen.height // 4
    assert read(seen.crop((0, quarter, seen.width, 3 * quarter)), tmp_path).split() == ["2047"]
