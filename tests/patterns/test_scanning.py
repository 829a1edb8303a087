"""Patch of lines, slants, delay."""

import numpy as np
import pytest

from appliance.patterns.catalogue import catalogue
from appliance.video.formats import FORMATS
from appliance.video.light import light
from tests.patterns.measure import drawn, signal


@pytest.mark.parametrize("name", FORMATS)
def test_every_field_has_as_much_of_the_patch(name: str) -> None:
    """In an interlaced format one row on, one off would be a flash of 25 or 30 Hz: both fields are alike instead."""
    plane = signal(drawn("line-patch", "plain", name))[..., 1]
    if FORMATS[name].interlaced:
        upper, lower = plane[0::2].sum(), plane[1::2].sum()
        assert upper == pytest.approx(lower, rel=0.02)
    column = plane[:, 300]
    runs = np.diff(np.flatnonzero(np.diff(np.pad(column, 1))))
    assert set(runs) == {FORMATS[name].lines_per_row}


@pytest.mark.parametrize("name", FORMATS)
def test_even_half_of_the_patch_has_the_same_light(name: str) -> None:
    """Half of full light by ITU-R BT.1886, as the lines beside it have on the mean; the patch is 8 % of the picture."""
    frame = drawn("line-patch", "plain", name)
    code = int(frame[FORMATS[name].lines // 2, 420] & 255)
    assert light(code) / light(255) == pytest.approx(0.5, abs=0.04)
    assert (frame > 0).mean() < 0.09


@pytest.mark.parametrize("name", FORMATS)
def test_slants_fall_evenly(name: str) -> None:
    """The centre of mass of each column lies on a straight line, six scanned lines from edge to edge."""
    fmt = FORMATS[name]
    plane = signal(drawn("slants", "plain", name))[..., 1]
    rows = slice(int(fmt.lines * 0.51), int(fmt.lines * 0.66))
    part = plane[rows]
    centres = (np.arange(len(part)) + 0.5) @ part / part.sum(axis=0)
    slope, start = np.polyfit(np.arange(720), centres, 1)
    assert slope * float(fmt.line_system.active_samples) == pytest.approx(6 * fmt.lines_per_row, rel=0.02)
    assert np.abs(centres - slope * np.arange(720) - start).max() < 0.6
    np.testing.assert_allclose(part.sum(axis=0), fmt.lines_per_row, atol=0.02)


@pytest.mark.parametrize("name", FORMATS)
def test_delay_lights_lamp_and_patch_together_once_a_second(name: str) -> None:
    """Period one second to the nearest field; the lamp is lit just when the frame with the patch is up."""
    fmt = FORMATS[name]
    shown = catalogue()["delay"].draw(fmt, "plain")
    assert shown.turns is not None
    assert shown.turns.period / fmt.field_rate == pytest.approx(1, abs=0.01)
    bright = [shown.field(field, fmt.lines, fmt.samples)[fmt.lines // 2, 360] > 0 for field in range(120)]
    assert [shown.lit(field) for field in range(120)] == bright
    assert 0 < sum(bright) < 60
    assert (shown.frames[1] > 0x808080).mean() < 0.06
