"""The dose of light over everything shown, its warning, and still pictures that step aside."""

from pathlib import Path

import numpy as np
import pytest

from appliance.activities.dose import SHIFT_TIME
from appliance.activities.troubles import Trouble
from appliance.patterns.catalogue import catalogue
from appliance.patterns.zone_light import zone_light
from appliance.service.painter import CELL, Painter, shifted
from appliance.service.views import View
from appliance.settings.tree import Choice
from appliance.video.formats import FORMATS
from tests.service.soaked import Powered

NTSC = Choice("240p", "NTSC")


def test_the_dose_is_light_times_time_over_everything_shown(tmp_path: Path) -> None:
    """A minute of one still, five of another and a soak's ten of a moving picture: sums of their means."""
    box = Powered(tmp_path, blinks=False)
    box.service.box.show("halves", "red-cyan", 0.0)
    box.run(60)
    box.service.box.show("bars", "75/0/75/0", box.waiter.now)
    box.run(300)
    fmt = FORMATS["240p"]
    wanted = np.zeros(9)
    for pattern, variant, seconds in (("halves", "red-cyan", 60), ("bars", "75/0/75/0", 300)):
        picture = catalogue()[pattern].draw(fmt, variant)
        wanted += np.array(zone_light(fmt, picture, moving=False).zones) * seconds / 3600
    box.service._wear._gather(box.waiter.now)
    box.service._wear._reckon(box.service._wear._gathered)
    assert box.service._wear.dose.white_hours == pytest.approx(wanted, rel=1e-3)


def test_nothing_on_the_screen_adds_nothing(tmp_path: Path) -> None:
    """A lost screen ends the count."""
    wear = Powered(tmp_path).service._wear
    wear.shown(View(NTSC, "white", "100"), 10.0)
    wear.lost(3610.0)
    wear.look(90_000.0)
    assert wear.dose.white_hours == pytest.approx((1.0,) * 9)


def test_a_zone_that_leads_is_told_once(tmp_path: Path) -> None:
    """A window over hours: the words once, the lamp's count, in stepping as in anything else."""
    box = Powered(tmp_path, blinks=False)
    box.service.box.show("window", "25-grey", 0.0)
    box.run(1800)
    assert box.service.box.troubles == set()
    box.run(48 * 3600)  # at a fifth of its light, since the box spares what stands
    assert box.service.box.troubles == {Trouble.WEAR}
    said = [view.words for _, view in box.watch.pictures if "lit more than" in view.words]
    assert len(set(said)) == 1
    assert said[0].startswith("Zone 5 lit more than ")


@pytest.mark.parametrize(
    ("pattern", "moves"), [("crosshatch", True), ("bars", True), ("scales", False), ("grey", False)]
)
def test_a_still_picture_steps_aside_after_minutes(pattern: str, moves: bool, tmp_path: Path) -> None:
    """Not before three minutes, then each three by another cell; what is read by its place, never."""
    box = Powered(tmp_path, blinks=False)
    box.service.box.show(pattern, "", 0.0)
    box.run(3.3 * SHIFT_TIME)
    shifts = [view.shift for _, view in box.watch.pictures if not view.words]
    assert shifts == ([(0, 0), (1, 0), (1, 1), (0, 1)] if moves else [(0, 0)])
    times = [at for at, view in box.watch.pictures if view.shift != (0, 0)]
    assert all(at >= SHIFT_TIME for at in times)


def test_a_key_puts_the_picture_back_in_its_place(tmp_path: Path) -> None:
    """Whoever comes back to a picture sees it where it belongs."""
    box = Powered(tmp_path, blinks=False).run(200)
    assert box.watch.pictures[-1][1].shift == (1, 0)
    box.press("forward")
    box.press("back")
    assert box.watch.pictures[-1][1].shift == (0, 0)


@pytest.mark.parametrize("name", FORMATS)
def test_a_shifted_picture_fills_its_frame(name: str) -> None:
    """It is moved by whole cells, both fields keep their lines, and its edges are drawn out."""
    fmt = FORMATS[name]
    frame = catalogue()["crosshatch"].draw(fmt, "white").frame
    down = 2 * fmt.lines_per_row
    moved = shifted(frame, fmt, (1, 1))
    assert moved.shape == frame.shape
    assert (moved[down:, CELL:] == frame[:-down, :-CELL]).all()
    assert (moved[:down, CELL:] == frame[0, :-CELL]).all()
    assert (frame[:-down, 0] == moved[down:, :CELL].T).all()


def test_lines_get_out_of_their_own_way() -> None:
    """No sample of the thin lines that was bright before is so after a cell across and down, crossings aside."""
    for fmt in FORMATS.values():
        view = View(Choice(fmt.name, fmt.systems[0]), "crosshatch", "white")
        painter = Painter()
        lit = [(painter.frame(view._replace(shift=cells), 0) & 255) > 128 for cells in ((0, 0), (1, 1))]
        both = np.count_nonzero(lit[0] & lit[1]) / np.count_nonzero(lit[0])
        assert both < 0.2, fmt.name
