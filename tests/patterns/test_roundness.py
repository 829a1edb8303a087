"""Circles by moments, bars by their edges."""

import numpy as np
import pytest
from scipy import ndimage

from appliance.video.formats import FORMATS
from tests.patterns.measure import drawn, signal
from tests.patterns.test_geometry import ASPECTS


def rings(variant: str, name: str) -> list[tuple[float, float, float, float]]:
    """Centre (row, sample) and root-mean-square reach (rows, samples) of each whole ring."""
    plane = signal(drawn("circles", variant, name))[..., 1]
    labels, count = ndimage.label(plane > 0.004, structure=np.ones((3, 3)))
    found: list[tuple[float, float, float, float]] = []
    for n in range(1, count + 1):
        rows, samples = np.nonzero(labels == n)
        if np.ptp(samples) > 50 and np.ptp(rows) > 40:
            mass = plane[rows, samples]
            row, sample = np.average(rows, weights=mass) + 0.5, np.average(samples, weights=mass) + 0.5
            reach = [
                np.sqrt(np.average((at + 0.5 - middle) ** 2, weights=mass))
                for at, middle in ((rows, row), (samples, sample))
            ]
            found.append((row, sample, reach[0], reach[1]))
    return found


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize(("variant", "shape"), [("4:3", 1.0), ("16:9", 0.75)])
def test_circles_are_round(name: str, variant: str, shape: float) -> None:
    """Width over height on the tube within 0.2 % for each of nine; on a 16:9 tube the same samples are 4/3 as wide."""
    found = rings(variant, name)
    assert len(found) == 9
    for _, _, high, wide in found:
        assert wide * ASPECTS[name] / high == pytest.approx(shape, rel=2e-3)


@pytest.mark.parametrize("name", FORMATS)
def test_there_is_a_circle_in_the_middle_of_every_zone(name: str) -> None:
    """At sixths of the exact picture within 0.05 sample; down the frame as the crosshatch's middle."""
    fmt = FORMATS[name]
    width, height = float(fmt.line_system.active_samples), float(fmt.picture_lines)
    middle = fmt.lines / 2 - (0 if fmt.interlaced else 0.5)
    centres = sorted((round(row / 10), sample, row) for row, sample, _, _ in rings("4:3", name))
    wanted = [(middle + y * height, 360 + x * width) for y in (-1 / 3, 0, 1 / 3) for x in (-1 / 3, 0, 1 / 3)]
    np.testing.assert_allclose([sample for _, sample, _ in centres], [sample for _, sample in wanted], atol=0.05)
    np.testing.assert_allclose([row for _, _, row in centres], [row for row, _ in wanted], atol=0.05)


@pytest.mark.parametrize("name", FORMATS)
def test_linearity_bars_are_ninths(name: str) -> None:
    """Edges by the integral of each bar: equal widths across, equal heights down, about the middle."""
    fmt = FORMATS[name]
    width, height = float(fmt.line_system.active_samples), float(fmt.picture_lines)
    across = signal(drawn("linearity", "across", name))[100, :, 1] / (191 / 255)
    down = signal(drawn("linearity", "down", name))[:, 100, 1] / (191 / 255)
    for profile, extent in ((across, width), (down, height)):
        labels, count = ndimage.label(profile > 0.004)
        assert count == 4
        sizes = ndimage.sum(profile, labels, range(1, 5))
        np.testing.assert_allclose(sizes, extent / 9, atol=0.05)
        centre = (np.arange(len(profile)) + 0.5) @ profile / profile.sum()
        assert centre == pytest.approx(len(profile) / 2, abs=0.02)
