"""The exact picture within the frame."""

import pytest

from appliance.drawing.area import Area
from appliance.video.formats import FORMATS


@pytest.mark.parametrize(
    ("name", "width", "height"), [("240p", 710.85, 243), ("480i", 710.85, 486), ("288p", 702, 288), ("576i", 702, 576)]
)
def test_area_is_the_analogue_picture(name: str, width: float, height: float) -> None:
    """710.85 × 486 (SMPTE 170M) and 702 × 576 (ITU-R BT.470), half as many rows when progressive."""
    area = Area.of(FORMATS[name])
    assert (area.width, area.height) == (width, height)


@pytest.mark.parametrize("name", FORMATS)
def test_area_sits_in_the_middle_and_is_4_by_3(name: str) -> None:
    """Equal margins left and right, above and below; width × aspect is 4/3 of the height."""
    fmt = FORMATS[name]
    area = Area.of(fmt)
    assert area.x(0) == pytest.approx(fmt.samples - area.x(1))
    assert area.y(0) == pytest.approx(fmt.lines - area.y(1))
    assert area.width * area.aspect / area.height == pytest.approx(4 / 3)
