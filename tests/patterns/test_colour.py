"""Colour bars against ITU-R BT.601 as colour-science reckons it."""

import numpy as np
import pytest

from appliance.video.formats import FORMATS
from tests.patterns.measure import drawn, signal
from tests.patterns.reference import codes_601

# 8-bit Y, Cb, Cr of 75 % bars and of 100 % white (ITU-R BT.601-7 §2.5; the customary table).
CODES_75 = [
    (162, 44, 142), (131, 156, 44), (112, 72, 58), (84, 184, 198), (65, 100, 212), (35, 212, 114),
]  # fmt: skip
WHITE_100, WHITE_75, BLACK = (235, 128, 128), (180, 128, 128), (16, 128, 128)


def bar_codes(variant: str, name: str) -> list[tuple[int, ...]]:
    """Y, Cb, Cr of the middle of each eighth of the exact picture, by colour-science."""
    fmt = FORMATS[name]
    width = float(fmt.line_system.active_samples)
    middles = (360 - width / 2 + (np.arange(8) + 0.5) * width / 8).astype(int)
    row = signal(drawn("bars", variant, name))[fmt.lines // 3]
    return [tuple(int(n) for n in codes) for codes in codes_601(row[middles])]


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize(("variant", "white"), [("75/0/75/0", WHITE_75), ("100/0/75/0", WHITE_100)])
def test_75_per_cent_bars_have_the_codes_of_bt_601(name: str, variant: str, white: tuple[int, ...]) -> None:
    """Every bar within one code of the table: the frame's own 8 bits round once before."""
    wanted = [white, *CODES_75, BLACK]
    assert np.abs(np.array(bar_codes(variant, name)) - np.array(wanted)).max() <= 1


def test_full_bars_have_the_codes_of_bt_601() -> None:
    """100 % bars, exact: their R'G'B' codes are 0 and 255 (table worked out from BT.601's equations)."""
    assert bar_codes("100/0/100/0", "576i") == [
        (235, 128, 128), (210, 16, 146), (170, 166, 16), (145, 54, 34),
        (106, 202, 222), (81, 90, 240), (41, 240, 110), (16, 128, 128),
    ]  # fmt: skip


@pytest.mark.parametrize("name", FORMATS)
def test_bars_are_eighths_of_the_exact_picture(name: str) -> None:
    """The centres of the red gun's steps lie at eighths of 710.85 or 702 samples about the middle."""
    fmt = FORMATS[name]
    width = float(fmt.line_system.active_samples)
    row = signal(drawn("bars", "100/0/100/0", name))[0]
    changes, between = np.abs(np.diff(row[:, 0])), np.arange(1, 720)
    parts = (slice(0, 270), slice(270, 450), slice(450, 719))
    places = [np.average(between[part], weights=changes[part]) for part in parts]
    wanted = 360 + (np.array([2, 4, 6]) / 8 - 0.5) * width
    np.testing.assert_allclose(places, wanted, atol=0.05)


@pytest.mark.parametrize("name", FORMATS)
def test_bars_run_to_the_edges(name: str) -> None:
    """The frame's first sample is white and its last black: no third colour beside the picture."""
    row = drawn("bars", "100/0/75/0", name)[7]
    assert (row[0], row[-1]) == (0xFFFFFF, 0)
