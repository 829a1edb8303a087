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


def at(key: str, variant: str, name: str, x: float, y: float) -> list[int]:
    """R', G', B' codes at shares of the exact picture's width and the frame's height."""
    fmt = FORMATS[name]
    width = float(fmt.line_system.active_samples)
    frame = signal(drawn(key, variant, name))
    return [round(v * 255) for v in frame[int(fmt.lines * y), int(360 + (x - 0.5) * width)]]


@pytest.mark.parametrize("name", FORMATS)
def test_split_bars_are_those_of_eg_1_less_what_is_below_black(name: str) -> None:
    """SMPTE EG 1: seven 75 % bars, then blue · magenta · cyan · white in reverse, then white 5/4 of a bar wide."""
    sevenths = [(n + 0.5) / 7 for n in range(7)]
    on, off = 191, 0
    upper = [[on] * 3, [on, on, off], [off, on, on], [off, on, off], [on, off, on], [on, off, off], [off, off, on]]
    middle = [upper[6], [0] * 3, upper[4], [0] * 3, upper[2], [0] * 3, upper[0]]
    assert [at("split-bars", "plain", name, x, 0.3) for x in sevenths] == upper
    assert [at("split-bars", "plain", name, x, 0.71) for x in sevenths] == middle
    assert [at("split-bars", "plain", name, x / 28, 0.9)[0] for x in (2.5, 7.5, 12.5, 17.5)] == [0, 255, 0, 0]


@pytest.mark.parametrize("name", FORMATS)
def test_split_bars_strip_is_the_lighter_one(name: str) -> None:
    """11.5 IRE on a black of 7.5: 4/92.5 of the signal, in the last third of the bar; the darker third is black."""
    strips = [at("split-bars", "plain", name, (5 + (n + 0.5) / 3) / 7, 0.9)[1] for n in range(3)]
    assert strips == [0, 0, 11]


@pytest.mark.parametrize("name", FORMATS)
def test_split_bars_heights(name: str) -> None:
    """67, 8 and 25 % of the exact picture's height, to the nearest row."""
    fmt = FORMATS[name]
    column = signal(drawn("split-bars", "plain", name))[:, 690, 0]
    changes = np.flatnonzero(np.diff(column)) + 1
    top, height = (fmt.lines - float(fmt.picture_lines)) / 2, float(fmt.picture_lines)
    np.testing.assert_allclose(changes, [top + 0.67 * height, top + 0.75 * height], atol=0.51)


def test_bars_stand_over_reference_white() -> None:
    """75 % bars above, 100 % white below them from side to side."""
    assert at("bars-over-white", "plain", "576i", 0.06, 0.3) == [191] * 3
    assert (drawn("bars-over-white", "plain", "576i")[500] == 0xFFFFFF).all()


@pytest.mark.parametrize("variant", ["red", "green", "blue", "cyan", "magenta", "yellow"])
def test_saturation_rises_at_one_hue_and_luma(variant: str) -> None:
    """By BT.601 codes of colour-science: Y even within 1.5, Cb and Cr on one line from 128, in ten even steps."""
    row = np.array([at("saturation", variant, "480i", (n + 0.5) / 11, 0.5) for n in range(11)]) / 255
    codes = codes_601(row).astype(float)
    chroma = codes[:, 1:] - 128
    assert np.ptp(codes[:, 0]) <= 2
    assert np.abs(chroma - np.linspace(0, 1, 11)[:, None] * chroma[-1]).max() <= 1.5
