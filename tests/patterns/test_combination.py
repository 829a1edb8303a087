"""The picture for the first impression."""

import numpy as np
import pytest
from scipy import ndimage

from appliance.video.formats import FORMATS
from tests.patterns.measure import drawn, signal
from tests.patterns.test_geometry import ASPECTS


@pytest.mark.parametrize("name", FORMATS)
def test_combination_has_greys_guns_and_white(name: str) -> None:
    """Ten greys of even steps, and red, green, blue, white, read at their places of the exact picture."""
    fmt = FORMATS[name]
    width = float(fmt.line_system.active_samples)
    planes = signal(drawn("combination", "plain", name))
    greys = planes[int(fmt.lines * 0.18), [int(360 + (0.42 + 0.048 * (n + 0.5) - 0.5) * width) for n in range(10)]]
    guns = planes[int(fmt.lines * 0.82), [int(360 + (0.10 + 0.12 * (n + 0.5) - 0.5) * width) for n in range(4)]]
    assert np.abs(greys - (np.arange(10)[:, None] + 1) / 10).max() <= 0.51 / 255
    assert guns.tolist() == [[1, 0, 0], [0, 1, 0], [0, 0, 1], [1, 1, 1]]


@pytest.mark.parametrize("name", FORMATS)
def test_combination_has_two_round_rings(name: str) -> None:
    """Extent of what is brighter than the crosshatch, left above and right below: equal on the tube within 4 %."""
    fmt = FORMATS[name]
    plane = signal(drawn("combination", "plain", name))[..., 1]
    labels, count = ndimage.label(plane > 0.5, structure=np.ones((3, 3)))
    pieces = ndimage.find_objects(labels)
    sizes = [(rows.stop - rows.start, samples.stop - samples.start) for rows, samples in pieces]
    wanted = 0.36 * float(fmt.picture_lines)
    rings = [(high, wide) for high, wide in sizes if abs(high - wanted) < 0.05 * wanted]
    assert len(rings) == 2
    assert count > 2
    for high, wide in rings:
        assert wide * ASPECTS[name] / high == pytest.approx(1, abs=0.04)
