"""Clusters, blocks and horizontals."""

import numpy as np
import pytest
from scipy import ndimage

from appliance.patterns.catalogue import catalogue
from appliance.patterns.picture import Frame
from appliance.video.formats import FORMATS
from tests.patterns.measure import drawn, signal


@pytest.mark.parametrize("name", FORMATS)
def test_clusters_are_nine_of_twenty_five_dots(name: str) -> None:
    """Counted by connected pieces, and even about the frame's middle."""
    plane = signal(drawn("clusters", "white", name))[..., 1]
    labels, count = ndimage.label(plane > 0.1)
    assert count == 9 * 25
    centres = np.array(ndimage.center_of_mass(plane, labels, range(1, count + 1)))
    assert centres[:, 1].mean() + 0.5 == pytest.approx(360, abs=0.02)


@pytest.mark.parametrize("name", FORMATS)
def test_every_gun_joins_every_other_both_ways(name: str) -> None:
    """In the middle zone: three by three blocks in which no row and no column has a gun twice."""
    fmt = FORMATS[name]
    planes = signal(drawn("blocks", "plain", name))
    high = {"525": 10, "625": 12}[fmt.line_system.name] * fmt.lines_per_row
    wide = high / float(fmt.pixel_aspect)
    rows = [round(fmt.lines / 2 + n * high) for n in (-1, 0, 1)]
    samples = [round(360 + n * wide) for n in (-1, 0, 1)]
    found = np.array([[planes[row, sample].argmax() for sample in samples] for row in rows])
    assert all(planes[row, sample].tolist().count(1.0) == 1 for row in rows for sample in samples)
    for lane in (*found, *found.T):
        assert sorted(lane) == [0, 1, 2]


@pytest.mark.parametrize("name", FORMATS)
def test_blocks_leave_composite_colour_room(name: str) -> None:
    """At least 1.5 µs wide: colour of 1.3 MHz (ITU-R BT.470) rises in about 0.4 µs at each side."""
    planes = signal(drawn("blocks", "plain", name))
    lit = planes[FORMATS[name].lines // 2].max(axis=1) > 0.5
    labels, _ = ndimage.label(lit)
    assert np.bincount(labels)[1:].min() / 3 / 13.5 > 1.5


@pytest.mark.parametrize("name", FORMATS)
def test_horizontals_change_guns_in_the_same_rows(name: str) -> None:
    """In turn: red, green and blue parts lie in the same whole rows, nine lines of them."""
    planes = signal(drawn("horizontals", "in-turn", name))
    rows = [np.flatnonzero(planes[..., gun].max(axis=1)) for gun in range(3)]
    assert (rows[0] == rows[1]).all()
    assert (rows[1] == rows[2]).all()
    assert len(rows[0]) == 9 * FORMATS[name].lines_per_row


NARROW = 10
"""Samples: less than the 0.77 µs of one period of 1.3 MHz, the most that composite colour carries (ITU-R BT.470)."""


def has_narrow_colour(frame: Frame) -> bool:
    """Whether somewhere along a line a colour, of a half and more, is there for less time than colour can follow."""
    planes = signal(frame)
    coloured = planes.max(axis=2) - planes.min(axis=2) > 0.5
    steps = np.diff(coloured.astype(int), axis=1, prepend=0, append=0)
    (_, starts), (_, ends) = np.nonzero(steps == 1), np.nonzero(steps == -1)
    whole = (starts > 0) & (ends < frame.shape[1])
    return bool((ends - starts < NARROW)[whole].any())


@pytest.mark.parametrize("key", catalogue())
def test_thin_coloured_verticals_say_what_to_judge_by(key: str) -> None:
    """Where composite is too slow for a picture's colours, its caption sends the eye to white or to horizontals."""
    entry = catalogue()[key]
    told = [variant for variant in entry.variants if entry.look_for(variant).casefold().count("judge by")]
    thin = [variant for variant in entry.variants if has_narrow_colour(drawn(key, variant, "480i"))]
    assert set(thin) <= set(told)
    assert thin or key not in {"crosshatch", "dots", "clusters", "focus"}
