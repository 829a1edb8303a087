"""Average picture level against numerical integration with colour-science's BT.1886."""

import pytest

from appliance.patterns.average import average_level
from appliance.patterns.catalogue import catalogue, find_pattern
from appliance.video.formats import FORMATS
from tests.patterns.measure import signal
from tests.patterns.reference import light_1886

# Luminance of red, green and blue: SMPTE C (SMPTE 170M) and ITU-R BT.470 system B/G, both with D65.
LUMINANCE = {"525": (0.2124, 0.7011, 0.0866), "625": (0.2220, 0.7067, 0.0713)}


@pytest.mark.parametrize("name", ["240p", "576i"])
@pytest.mark.parametrize(
    "pattern", ["white:50", "red", "crosshatch", "bars:75/0/75/0", "window", "ramp", "combination"]
)
def test_average_is_the_integral(pattern: str, name: str) -> None:
    """Mean of luma (BT.601 weights) and of luminance over every sample of the frame."""
    fmt = FORMATS[name]
    entry, variant = find_pattern(pattern)
    picture = entry.draw(fmt, variant)
    planes = signal(picture.frame)
    found = average_level(fmt, picture)
    assert found.signal == pytest.approx(100 * float((planes @ [0.299, 0.587, 0.114]).mean()), abs=1e-4)
    wanted = float((light_1886(planes) @ LUMINANCE[fmt.line_system.name]).mean())
    assert found.light == pytest.approx(100 * wanted, abs=0.2)


def test_average_of_a_bounce_is_half() -> None:
    """Two seconds at 10 and two at 90 % of the signal."""
    assert average_level(FORMATS["576i"], find_pattern("bounce")[0].draw(FORMATS["576i"], "abrupt")).signal == (
        pytest.approx(50, abs=0.3)
    )


@pytest.mark.parametrize("key", catalogue())
def test_what_is_brighter_than_half_rests(key: str) -> None:
    """A still picture of more than 60 % of full light on the mean may not stand for ever: wear goes by light × time."""
    entry = catalogue()[key]
    for variant in entry.variants:
        if not entry.moving and average_level(FORMATS["240p"], entry.draw(FORMATS["240p"], variant)).light > 60:
            assert variant in entry.bright, variant
