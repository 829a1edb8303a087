"""Discs measured by their moments, which know nothing of how they were drawn."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from appliance.drawing.profiles import half_amplitude
from appliance.drawing.rounds import disc_grid, ring_rows
from appliance.video.formats import FORMATS

NAMES = st.sampled_from(sorted(FORMATS))


@settings(max_examples=50, deadline=None)
@given(name=NAMES, x=st.floats(100, 600), above=st.floats(20, 21), diameter=st.floats(6, 40))
def test_disc_is_round_and_where_it_was_asked_for(name: str, x: float, above: float, diameter: float) -> None:
    """Area πd²/4, centre of mass at the place, and equal second moments on the tube once the pulse's is taken off."""
    fmt = FORMATS[name]
    aspect, had = float(fmt.pixel_aspect), half_amplitude(fmt)
    rows = ring_rows(fmt, np.array([x]), above, diameter)
    mass = rows.sum()
    across, down = rows.sum(axis=0), rows.sum(axis=1)
    places, heights = np.arange(fmt.samples) + 0.5, np.arange(len(rows)) + 0.5
    centre_x, centre_y = (places @ across) / mass, (heights @ down) / mass
    assert mass * aspect == pytest.approx(np.pi * diameter**2 / 4, rel=0.01)
    assert centre_x == pytest.approx(x, abs=0.01)
    assert centre_y == pytest.approx(above, abs=0.05)
    pulse_variance = had**2 * (1 / 3 - 2 / np.pi**2)
    width = np.sqrt((((places - centre_x) ** 2 @ across) / mass - pulse_variance) * aspect**2)
    height = np.sqrt(((heights - centre_y) ** 2 @ down) / mass - 1 / 12)
    assert width / height == pytest.approx(1, abs=0.02)


@given(x=st.floats(-60, 780))
def test_disc_over_the_edge_is_cut_off(x: float) -> None:
    """A disc partly or wholly outside leaves rows of the frame's width and coverage within 0 … 1."""
    rows = ring_rows(FORMATS["240p"], np.array([min(max(x, 0), 720)]), 3, 5)
    assert rows.shape[1] == 720
    assert rows.min() >= 0
    assert rows.max() <= 1


def test_disc_grid_repeats_and_leaves_the_rest_empty() -> None:
    """Rows of the frame a pitch apart are the same distinct row, and rows between discs are the empty one."""
    rows, index = disc_grid(FORMATS["480i"], np.array([100.0, 200.0]), 24, 54, 6)
    assert (index[:-54] == index[54:]).all()
    assert not rows[0].any()
    assert np.count_nonzero(index) == 9 * 6
