"""The nine zones: where they lie, that they cover the frame once, and that a point finds its zone."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appliance.errors import Refused
from appliance.video.formats import FORMATS, Format
from appliance.video.zones import ZONES, zone, zone_at

FORMAT = st.sampled_from(list(FORMATS.values()))


@pytest.mark.parametrize("name", FORMATS)
def test_numbered_as_one_reads(name: str) -> None:
    """1 is the top left, 5 the centre, 9 the bottom right; numbers rise to the right, then down."""
    fmt = FORMATS[name]
    assert zone(fmt, 5).centre == (Fraction(fmt.samples, 2), Fraction(fmt.lines, 2))
    assert zone(fmt, 1).left == zone(fmt, 1).top == 0
    assert [zone(fmt, 9).right, zone(fmt, 9).bottom] == [fmt.samples, fmt.lines]
    assert zone(fmt, 3).left > zone(fmt, 2).left > zone(fmt, 1).left
    assert zone(fmt, 7).top > zone(fmt, 4).top > zone(fmt, 1).top


@pytest.mark.parametrize(("name", "width", "height"), [("240p", 236.95, 81), ("576i", 234, 192)])
def test_centre_zone_is_a_ninth_of_the_picture(name: str, width: float, height: float) -> None:
    """The centre zone is a third of the analogue picture each way: 710.85/3 by 243/3, and 702/3 by 576/3."""
    centre = zone(FORMATS[name], 5)
    assert float(centre.right - centre.left) == pytest.approx(width)
    assert float(centre.bottom - centre.top) == pytest.approx(height)


@pytest.mark.parametrize("name", FORMATS)
def test_zones_cover_the_frame_once(name: str) -> None:
    """The areas of the nine add up to the frame's, and each begins where its neighbour ends."""
    fmt = FORMATS[name]
    parts = [zone(fmt, number) for number in ZONES]
    assert sum((p.right - p.left) * (p.bottom - p.top) for p in parts) == fmt.samples * fmt.lines
    assert [parts[n].right for n in (0, 3, 6)] == [parts[n].left for n in (1, 4, 7)]
    assert [parts[n].bottom for n in (0, 1, 2)] == [parts[n].top for n in (3, 4, 5)]


@given(FORMAT, st.integers(0, 719), st.integers(0, 575))
def test_a_sample_lies_in_the_zone_it_is_said_to(fmt: Format, sample: int, row: int) -> None:
    """The rectangle of the zone that is found holds the point, its right and bottom edges no longer."""
    y = row % fmt.lines
    found = zone(fmt, zone_at(fmt, sample, y))
    assert found.left <= sample < found.right
    assert found.top <= y < found.bottom


def test_beyond_the_frame_the_nearest_counts() -> None:
    """A point off the frame, as a mark pushed too far, belongs to the zone beside it."""
    fmt = FORMATS["480i"]
    assert [zone_at(fmt, x, y) for x, y in ((-5, -5), (725, 240), (360, 600))] == [1, 6, 8]


@pytest.mark.parametrize("number", [0, 10, -1])
def test_no_such_zone(number: int) -> None:
    """A number that no zone has is refused with those there are."""
    with pytest.raises(Refused, match=rf"zone {number}: there are 1 to 9"):
        zone(FORMATS["240p"], number)


@pytest.mark.parametrize("fmt", FORMATS.values(), ids=FORMATS)
def test_a_point_on_an_edge_belongs_to_the_later_zone(fmt: Format) -> None:
    """On the very line where two zones meet, the point is of the right or lower one, as the rectangles say."""
    centre = zone(fmt, 5)
    assert zone_at(fmt, centre.left, centre.top) == 5
    assert zone_at(fmt, centre.right, centre.bottom) == 9
