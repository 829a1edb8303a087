"""The picture that says itself what the lead carries; and the delay's lamp, through the whole service."""

from pathlib import Path

import numpy as np
import pytest

from appliance.drawing.area import Area
from appliance.patterns.arrival import words_of
from appliance.video.formats import FORMATS
from tests.patterns.measure import drawn, signal
from tests.service.test_service import FIELD, Stage, tap

# ITU-R BT.1700 and BT.601-7: 525 and 625 lines in two fields; the progressive forms take the whole lines of one.
SAID = {
    "240p": ("240p", "262 lines in each field", "60.05 fields a second", "15734 lines a second"),
    "480i": ("480i", "525 lines in two fields", "59.94 fields a second", "15734 lines a second"),
    "288p": ("288p", "312 lines in each field", "50.08 fields a second", "15625 lines a second"),
    "576i": ("576i", "625 lines in two fields", "50.00 fields a second", "15625 lines a second"),
}


@pytest.mark.parametrize("name", FORMATS)
def test_the_format_s_own_figures_are_told(name: str) -> None:
    """Lines, field rate and line rate of the standards, drawn where the plain variant has nothing."""
    assert words_of(FORMATS[name]) == SAID[name]
    fmt = FORMATS[name]
    extra = drawn("lead", "told", name) != drawn("lead", "plain", name)
    rows, samples = np.nonzero(extra)
    area = Area.of(fmt)
    assert area.y(0.2) < rows.min() < rows.max() < area.y(0.68)
    assert area.x(0.1) < samples.min() < samples.max() < area.x(0.9)
    assert samples.mean() == pytest.approx(area.centre_x, abs=12)


@pytest.mark.parametrize("name", FORMATS)
def test_its_uprights_go_from_the_first_row_to_the_last(name: str) -> None:
    """Where a set's line oscillator finds its lock, at the top, they would bend: they are the same in every row."""
    area, plane = Area.of(FORMATS[name]), signal(drawn("lead", "plain", name))[..., 1]
    for share in (0.2, 0.8):
        x = round(area.x(share))
        strip = plane[:, x - 6 : x + 6]
        centres = (strip @ np.arange(12)) / strip.sum(axis=1)
        clear = np.abs(strip.sum(axis=1) - np.median(strip.sum(axis=1))) < 0.01
        assert clear[[0, -1]].all()
        assert np.ptp(centres[clear]) < 0.01


def switched(states: list[tuple[float, bool]], to: bool) -> list[float]:
    """When a state that was otherwise became ``to``; what is before the first counts as dark."""
    before = [False, *(lit for _, lit in states)]
    return [at for (at, lit), was in zip(states, before, strict=False) if lit == to != was]


def test_lamp_and_patch_are_switched_in_the_same_field(tmp_path: Path) -> None:
    """Through keys, box, presenter and screen: the running lamp lights with the flip that brings the patch."""
    stage = Stage(tmp_path, *tap("go", 2.0))
    seen: list[tuple[float, bool]] = []
    middle = (120 * 720 + 360) * 4
    stage.screen._on_flip = lambda _, __, flip: seen.append((flip.stamp, stage.screen.frame()[middle] > 128))
    stage.service.box.show("delay", "plain", 0.0)
    stage.run(7)
    lamp = [(at, lamps[1]) for at, lamps in stage.log.lit if 2.2 < at < 6.5]
    patch = [(at, lit) for at, lit in seen if at < 6.5]
    begun, ended = (switched(patch, to=lit) for lit in (True, False))
    assert len(begun) >= 3
    assert switched(lamp, to=True) == pytest.approx(begun, abs=FIELD / 4)
    assert switched(lamp, to=False) == pytest.approx(ended, abs=FIELD / 4)
    assert np.diff(begun) == pytest.approx(1.0, abs=FIELD)
