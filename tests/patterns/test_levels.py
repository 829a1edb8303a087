"""RGB steps."""

import numpy as np
import pytest

from appliance.video.formats import FORMATS
from tests.patterns.measure import drawn, signal


def treads(variant: str, name: str) -> np.ndarray:
    """``[4 bands, 11 treads, 3]``: signal in the middle of each eleventh of the exact picture."""
    fmt = FORMATS[name]
    width = float(fmt.line_system.active_samples)
    middles = (360 - width / 2 + (np.arange(11) + 0.5) * width / 11).astype(int)
    bands = (np.arange(4) * 2 + 1) * fmt.lines // 8
    return signal(drawn("rgb-steps", variant, name))[bands][:, middles]


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize(("variant", "top"), [("full", 1.0), ("near-black", 0.1)])
def test_ten_equal_steps_in_four_bands(name: str, variant: str, top: float) -> None:
    """Black and ten treads of a tenth of the top each, to the nearest code: red, green, blue, white downwards."""
    guns = np.array([(1, 0, 0), (0, 1, 0), (0, 0, 1), (1, 1, 1)])
    wanted = guns[:, None, :] * (np.arange(11) / 10 * top)[:, None]
    assert np.abs(treads(variant, name) - wanted).max() <= 0.51 / 255


@pytest.mark.parametrize("name", FORMATS)
def test_every_step_rises(name: str) -> None:
    """Also near black, where a step is two or three codes, no two treads are the same."""
    white = treads("near-black", name)[3, :, 1]
    assert (np.diff(white) >= 2 / 255 - 1e-9).all()


@pytest.mark.parametrize("name", FORMATS)
def test_bands_are_equally_high(name: str) -> None:
    """A quarter of the rows each."""
    column = signal(drawn("rgb-steps", "full", name))[:, 700]
    changes = np.flatnonzero(np.abs(np.diff(column, axis=0)).any(axis=1)) + 1
    assert changes.tolist() == [FORMATS[name].lines * k // 4 for k in (1, 2, 3)]


def line(key: str, variant: str, name: str, share: float = 0.5) -> np.ndarray:
    """Green signal along the line at a share of the frame's height."""
    return signal(drawn(key, variant, name))[int(FORMATS[name].lines * share), :, 1]


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize(
    ("variant", "bottom", "top", "share"),
    [
        ("up", 0, 1, 0.5),
        ("two-way", 0, 1, 0.2),
        ("two-way", 1, 0, 0.8),
        ("near-black", 0, 0.1, 0.5),
        ("near-white", 0.9, 1, 0.5),
    ],
)
def test_staircase_is_linear(name: str, variant: str, bottom: float, top: float, share: float) -> None:
    """Ten steps of 9.25 IRE of 92.5 (525) or 70 of 700 mV (625): a tenth each, to the nearest code."""
    fmt = FORMATS[name]
    width = float(fmt.line_system.active_samples)
    middles = (360 - width / 2 + (np.arange(11) + 0.5) * width / 11).astype(int)
    found = line("staircase", variant, name, share)[middles]
    assert np.abs(found - np.linspace(bottom, top, 11)).max() <= 0.51 / 255


@pytest.mark.parametrize("name", FORMATS)
def test_ramp_is_straight(name: str) -> None:
    """From black to white across the exact picture, never off by more than half a code."""
    width = float(FORMATS[name].line_system.active_samples)
    wanted = np.clip((np.arange(720) + 0.5 - (360 - width / 2)) / width, 0, 1)
    assert np.abs(line("ramp", "white", name) - wanted).max() <= 0.51 / 255
    assert np.abs(line("ramp", "two-way", name, 0.9) - (1 - wanted)).max() <= 0.51 / 255


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize(("variant", "codes"), [("black", {0, 5}), ("raised", {13, 17, 8})])
def test_pluge_strips_have_the_standard_s_step(name: str, variant: str, codes: set[int]) -> None:
    """10-bit 80 and 48 about 64 of 876 (ITU-R BT.814-4): ±1.83 %, to the nearest code, and nothing else at the left."""
    row = np.rint(line("pluge", variant, name)[:400] * 255).astype(int)
    flat = {int(code) for code, times in zip(*np.unique(row, return_counts=True), strict=True) if times > 20}
    assert flat == codes
    for code in codes - {0}:
        ground = {"black": 0.0, "raised": 0.05}[variant]
        assert min(abs(code / 255 - ground - step * 16 / 876) for step in (-1, 0, 1)) <= 0.51 / 255


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("variant", ["5", "10", "25", "50"])
def test_window_is_its_share_of_the_picture(name: str, variant: str) -> None:
    """The sum of the signal over the area of the exact picture, and 4:3 in shape."""
    fmt = FORMATS[name]
    plane = signal(drawn("window", variant, name))[..., 1]
    whole = float(fmt.line_system.active_samples * fmt.picture_lines)
    assert plane.sum() / whole == pytest.approx(int(variant) / 100, rel=2e-3)
    wide, high = plane[fmt.lines // 2].sum(), plane[:, 360].sum()
    assert wide * float(fmt.pixel_aspect) / high == pytest.approx(4 / 3, rel=1e-3)


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("variant", ["white-first", "black-first"])
def test_checker_lights_half(name: str, variant: str) -> None:
    """Half of the frame, and each box differs from its neighbours."""
    fmt = FORMATS[name]
    plane = signal(drawn("checker", variant, name))[..., 1]
    boxes = plane[fmt.lines // 8 :: fmt.lines // 4, 90::180][:4, :4]
    assert plane.mean() == pytest.approx(0.5, abs=2e-3)
    assert (boxes == (np.indices((4, 4)).sum(axis=0) % 2 == (variant == "black-first"))).all()
