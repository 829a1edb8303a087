"""Frame lines and scales, in percent of the exact picture."""

import numpy as np
import pytest

from appliance import lettering
from appliance.video.formats import FORMATS
from tests.patterns.measure import drawn, line_centres, signal


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize(("variant", "share"), [("98", 0.98), ("90", 0.9), ("80", 0.8)])
def test_frame_lines_enclose_their_share(name: str, variant: str, share: float) -> None:
    """Of the exact width within 0.02 sample, of the height to the nearest whole row."""
    fmt = FORMATS[name]
    plane = signal(drawn("frame", variant, name))[..., 1]
    across, lit = line_centres(plane[fmt.lines // 2 - 20]), np.flatnonzero(plane[:, 360])
    assert np.diff(across) == pytest.approx(share * float(fmt.line_system.active_samples), abs=0.04)
    assert len(lit) == 2 * fmt.lines_per_row
    assert lit[-1] + 1 - lit[0] - fmt.lines_per_row == pytest.approx(share * float(fmt.picture_lines), abs=1)
    assert across.mean() == pytest.approx(360, abs=0.02)


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("side", ["left", "right"])
def test_side_scales_have_a_mark_at_every_percent(name: str, side: str) -> None:
    """One to twenty percent of the exact width in from the side, within 0.05 sample."""
    fmt = FORMATS[name]
    width = float(fmt.line_system.active_samples)
    line = signal(drawn("scales", side, name))[fmt.lines // 2 - 2 * fmt.lines_per_row, :, 1]
    shares = np.arange(1, 21) / 100
    wanted = 360 + (shares - 0.5) * width * (1 if side == "left" else -1)
    places = np.arange(720) + 0.5
    for mark in wanted:
        near = np.abs(places - mark) < 3.4
        assert line[near].max() > 0.9
        assert np.average(places[near], weights=line[near]) == pytest.approx(mark, abs=0.05)


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("side", ["top", "bottom"])
def test_upper_and_lower_scales_have_a_mark_at_every_percent(name: str, side: str) -> None:
    """To the nearest whole row of the percent of the exact height; marks beyond the coded rows are not there."""
    fmt = FORMATS[name]
    height = float(fmt.picture_lines)
    column = signal(drawn("scales", side, name))[:, 363, 1]
    lit = np.flatnonzero(column == 1)
    runs = np.split(lit, np.flatnonzero(np.diff(lit) > 1) + 1)
    marks = np.array([run.mean() + 0.5 for run in runs])
    marks = marks[np.abs(marks - fmt.lines / 2) > 0.1 * height]
    top = (fmt.lines - height) / 2
    away = marks - top if side == "top" else top + height - marks[::-1]
    np.testing.assert_allclose(away, np.arange(1, 21) / 100 * height, atol=0.51)


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("side", ["left", "right", "top", "bottom"])
def test_one_side_alone_is_a_part_of_all(name: str, side: str) -> None:
    """Nothing that a side shows is missing where all four are shown."""
    one, every = (signal(drawn("scales", variant, name)) for variant in (side, "all"))
    assert (every - one).min() >= -1 / 255


@pytest.mark.parametrize("name", FORMATS)
def test_numbers_do_not_touch_the_marks(name: str) -> None:
    """The row through the upper edge of the long marks is dark between them."""
    fmt = FORMATS[name]
    assert lettering.height(fmt) < 0.13 * float(fmt.picture_lines)
    plane = signal(drawn("scales", "left", name))[..., 1]
    row = plane[round(fmt.lines / 2 - 0.037 * float(fmt.picture_lines)) - fmt.lines_per_row]
    assert row[:250].max() < 0.1
