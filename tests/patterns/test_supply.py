"""Bounce, load steps, half loads."""

import numpy as np
import pytest

from appliance.patterns.catalogue import catalogue
from appliance.video.formats import FORMATS
from tests.patterns.measure import drawn, signal


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("variant", ["faded", "abrupt"])
def test_bounce_stands_at_10_and_90_per_cent(name: str, variant: str) -> None:
    """Average picture level of the two longest turns, each of two seconds and so of at least one."""
    fmt = FORMATS[name]
    shown = catalogue()["bounce"].draw(fmt, variant)
    assert shown.turns is not None
    stays = [(index, fields) for index, fields in shown.turns.shown if fields > 10]
    assert [round(signal(shown.frames[index]).mean() * 100) for index, _ in stays] == [10, 90]
    assert all(fields / fmt.field_rate == pytest.approx(2, abs=0.01) for _, fields in stays)


@pytest.mark.parametrize("name", FORMATS)
def test_fade_goes_straight_up_and_down(name: str) -> None:
    """Every field is between the one before and the state to come."""
    shown = catalogue()["bounce"].draw(FORMATS[name], "faded")
    assert shown.turns is not None
    levels = [int(shown.frames[shown.index(field)][0, 0] & 255) for field in range(shown.turns.period)]
    turn = levels.index(max(levels))
    down = levels.index(max(levels)) + levels.count(max(levels))
    assert levels[:turn] == sorted(levels[:turn])
    assert levels[down:] == sorted(levels[down:], reverse=True)


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize(("variant", "share"), [("60", 0.6), ("30", 0.3)])
def test_load_steps_keep_their_frame(name: str, variant: str, share: float) -> None:
    """The two turns differ by the window alone, which has its share of the picture; the frame lines stay."""
    fmt = FORMATS[name]
    dark, loaded = (signal(frame)[..., 1] for frame in catalogue()["load-steps"].draw(fmt, variant).frames)
    added = loaded - dark
    whole = float(fmt.line_system.active_samples * fmt.picture_lines)
    assert added.min() >= 0
    assert added.sum() / whole == pytest.approx(share, rel=3e-3)
    assert dark[fmt.lines // 2].max() == pytest.approx(0.75, abs=0.06)


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize(("variant", "lit"), [("top", 0), ("bottom", 1)])
def test_half_load_is_half(name: str, variant: str, lit: int) -> None:
    """Full signal between the uprights in one half, none in the other; the uprights are seen in both."""
    fmt = FORMATS[name]
    plane = signal(drawn("half-load", variant, name))[..., 1]
    halves = plane[: fmt.lines // 2], plane[fmt.lines // 2 :]
    assert np.median(halves[lit]) == 1
    assert np.median(halves[1 - lit]) == 0
    assert halves[lit].min() < 0.1
    assert halves[1 - lit].max() > 0.9
