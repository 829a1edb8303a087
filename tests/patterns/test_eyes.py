"""What is refused and what is cautioned for the sake of eyes: ITU-R BT.1702-3, WCAG 2.2."""

import numpy as np
import pytest

from appliance.patterns.catalogue import catalogue
from appliance.patterns.eyes import CAUTION, FAILS, WITHIN, shown, strain
from appliance.patterns.picture import Frame, Picture, Way
from appliance.video.flash import count_flashes
from appliance.video.formats import FORMATS
from tests.patterns.measure import drawn
from tests.video.test_flash_analyser import analysed, analyser  # noqa: F401 - the analyser is a fixture

INTERLACED = [name for name, fmt in FORMATS.items() if fmt.interlaced]


def rows_on_and_off(name: str, thick: int, moving: bool = False) -> Picture:
    """White rows, so many on and so many off, over the whole screen, and perhaps running down a row a field."""
    fmt = FORMATS[name]
    rows = np.arange(fmt.lines + 2 * thick) // thick % 2 * 0xFFFFFF
    frame: Frame = np.ascontiguousarray(np.repeat(rows.astype(np.uint32)[:, None], fmt.samples, axis=1))
    return Picture(frame, Way(0, 1, 1, 2 * thick)) if moving else Picture(frame[: fmt.lines])


@pytest.mark.parametrize("name", INTERLACED)
def test_one_line_on_one_off_fails_when_interlaced(name: str) -> None:
    """It is a white field between two black ones, 25 or 30 times a second."""
    assert strain(FORMATS[name], rows_on_and_off(name, 1)).verdict == FAILS


@pytest.mark.parametrize("key", catalogue())
def test_no_shipped_picture_flickers_between_its_fields(key: str) -> None:
    """No variant of any still pattern is one-on-one-off, even over a quarter of the screen or of a part of it."""
    entry = catalogue()[key]
    for variant in () if entry.moving else entry.variants:
        found = count_flashes(FORMATS["480i"], [(drawn(key, variant, "480i"), 60)])
        assert max(found.screen, found.part) == 0, variant


@pytest.mark.parametrize("name", FORMATS)
def test_stripes_over_the_screen_fail(name: str) -> None:
    """More than five even pairs over more than 40 % of the screen standing, 25 % moving."""
    assert strain(FORMATS[name], rows_on_and_off(name, 8)).verdict == FAILS
    assert strain(FORMATS[name], rows_on_and_off(name, 64)).verdict == WITHIN


MOVING = [(key, variant) for key, entry in catalogue().items() if entry.moving for variant in entry.variants]


@pytest.mark.parametrize(("key", "variant"), MOVING)
def test_nothing_that_moves_fails_and_what_is_near_is_cautioned(key: str, variant: str) -> None:
    """Flashes over time and stripes over the area; whatever comes near a limit has its caution shown before.

    In the format with the fewest rows, for time's sake; fieldmouse flash counts all four.
    """
    found = strain(FORMATS["240p"], catalogue()[key].draw(FORMATS["240p"], variant))
    assert found.verdict != FAILS
    assert found.flashes.red == 0
    assert found.verdict == WITHIN or (found.verdict == CAUTION and catalogue()[key].caution)


IN_TURN = ("bounce", "load-steps", "delay")
ANALYSED = [*((*place, "240p") for place in MOVING), *((*place, "576i") for place in MOVING if place[0] in IN_TURN)]


@pytest.mark.parametrize(("key", "variant", "name"), ANALYSED)
def test_the_analyser_passes_what_moves(key: str, variant: str, name: str, analyser: object) -> None:  # noqa: F811 - the fixture
    """iris-pse-detection, which knows nothing of ours, finds no more than three flashes in a second either."""
    picture = catalogue()[key].draw(FORMATS[name], variant)
    assert not analysed(analyser, FORMATS[name], list(shown(FORMATS[name], picture)))  # type: ignore[arg-type] # a module
