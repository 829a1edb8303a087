"""Dots, by moments."""

import numpy as np
import pytest
from scipy import ndimage

from appliance.video.formats import FORMATS
from tests.patterns.measure import drawn, signal
from tests.patterns.test_geometry import ASPECTS, lines_of


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize(("dots", "crosshatch"), [("white", "white"), ("fine", "fine")])
def test_dots_are_centred_where_the_crosshatch_crosses(name: str, dots: str, crosshatch: str) -> None:
    """Each dot's centre of mass is within 0.04 sample (3 ns) and 0.01 row of a crossing, and no crossing is without."""
    plane = signal(drawn("dots", dots, name))[..., 1]
    labels, count = ndimage.label(plane > 0.01)
    centres = np.array(ndimage.center_of_mass(plane, labels, range(1, count + 1))) + 0.5
    columns, rows = lines_of(drawn("crosshatch", crosshatch, name))
    inner = centres[(centres[:, 1] > columns[0] - 1) & (centres[:, 1] < columns[-1] + 1)]
    assert len(inner) == len(columns) * len(rows)
    assert np.abs(inner[:, 1, None] - columns).min(axis=1).max() < 0.04
    assert np.abs(inner[:, 0, None] - rows).min(axis=1).max() < 0.01


@pytest.mark.parametrize("name", FORMATS)
def test_dot_is_about_as_wide_as_high_on_the_tube(name: str) -> None:
    """Standard deviations on the tube, the pulse's share of the width included, differ by a third at most."""
    fmt = FORMATS[name]
    plane = signal(drawn("dots", "white", name))[..., 1]
    middle = fmt.lines // 2
    reach = 10 * fmt.lines_per_row
    box = plane[middle - reach : middle + reach, 340:380]
    rows, samples = (np.arange(size) + 0.5 for size in box.shape)
    spread = [
        np.sqrt(np.average((places - np.average(places, weights=mass)) ** 2, weights=mass))
        for places, mass in ((rows, box.sum(axis=1)), (samples, box.sum(axis=0)))
    ]
    assert 1 <= spread[1] * ASPECTS[name] / spread[0] < 4 / 3


@pytest.mark.parametrize("name", FORMATS)
def test_dot_reaches_full_signal(name: str) -> None:
    """Large enough to be seen: its middle is at full level."""
    assert signal(drawn("dots", "red", name))[..., 0].max() == 1
    assert not signal(drawn("dots", "red", name))[..., 1:].any()
