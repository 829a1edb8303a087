"""Shapes as spans."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from appliance.drawing.profiles import half_amplitude, span
from appliance.drawing.spans import covered, slice_places
from appliance.video.formats import FORMATS


@given(left=st.floats(-30, 750), width=st.floats(0, 300), name=st.sampled_from(sorted(FORMATS)))
def test_an_upright_shape_is_a_span(left: float, width: float, name: str) -> None:
    """With the same ends in every slice each row is what the formula of an edge gives, within a fifth of a code."""
    fmt = FORMATS[name]
    ends = np.full(8, left), np.full(8, left + width)
    wanted = span(left, left + width, fmt.samples, half_amplitude(fmt))
    np.testing.assert_allclose(covered(fmt, [ends], 2, fmt.samples), [wanted, wanted], atol=0.2 / 255)


def test_shapes_add_up_to_full_coverage_at_most() -> None:
    """Two halves side by side are one whole; the same twice is no more than once."""
    fmt = FORMATS["480i"]
    ends = [np.full(1, x) for x in (100.0, 200.0, 300.0)]
    whole = covered(fmt, [(ends[0], ends[2])], 1, fmt.samples)
    halves = covered(fmt, [(ends[0], ends[1]), (ends[1], ends[2])], 1, fmt.samples)
    twice = covered(fmt, [(ends[0], ends[2])] * 2, 1, fmt.samples)
    np.testing.assert_allclose(halves, whole, atol=1e-9)
    assert twice.max() <= 1


def test_a_span_the_wrong_way_round_covers_nothing() -> None:
    """As above and below a circle, where its chord is none."""
    assert not covered(FORMATS["240p"], [(np.full(2, 9.0), np.full(2, 3.0))], 2, 720).any()


def test_a_slant_is_the_mean_of_its_slices() -> None:
    """A right end that goes from 100 to 110 down one row covers 105 samples of it."""
    places = slice_places(1, 4)
    row = covered(FORMATS["240p"], [(np.full(4, 0.0) + 20, 100 + 10 * places)], 1, 720)
    assert row.sum() == pytest.approx(85, abs=0.01)
