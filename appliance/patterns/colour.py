"""Colour: bars, split-field bars, bars over white, and single hues in steps of saturation."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from appliance.drawing.area import Area
from appliance.drawing.colours import BLUE, CYAN, GREEN, MAGENTA, RED, YELLOW, Colour, pack
from appliance.drawing.frames import stack
from appliance.drawing.profiles import edge, half_amplitude, sample_places
from appliance.patterns.picture import Picture
from appliance.patterns.registry import pattern
from appliance.video.formats import Format

FAMILY = "colour"

BARS = ("100/0/100/0", "100/0/75/0", "75/0/75/0")
"""Percent of white, black, and the greatest and least of the coloured bars (ITU-R BT.471 nomenclature)."""

GUNS_LIT = np.array(
    [(1, 1, 1), (1, 1, 0), (0, 1, 1), (0, 1, 0), (1, 0, 1), (1, 0, 0), (0, 0, 1), (0, 0, 0)], dtype=float
)
"""Which guns are lit in the eight bars: white, yellow, cyan, green, magenta, red, blue, black."""


def bar_row(fmt: Format, colours: NDArray[np.floating], bounds: Sequence[float]) -> NDArray[np.uint32]:
    """One line of ``colours``, changing at ``bounds`` in shares of the exact picture; the outer ones run on."""
    area = Area.of(fmt)
    places = np.array([area.x(share) for share in bounds])
    rises = edge(sample_places(fmt.samples)[:, None] - places, half_amplitude(fmt))
    return pack(colours[0] + rises @ np.diff(colours, axis=0))


def banded(fmt: Format, rows: list[NDArray[np.uint32]], bounds: Sequence[float]) -> Picture:
    """Bands of lines one below the other, changing at the rows nearest to ``bounds`` of the exact picture's height."""
    area = Area.of(fmt)
    starts = [round(area.y(share)) for share in bounds]
    return Picture(stack(np.stack(rows), np.searchsorted(starts, np.arange(fmt.lines), side="right")))


def _eight(white: float, black: float, most: float, least: float) -> NDArray[np.floating]:
    colours = least + (most - least) * GUNS_LIT
    colours[0], colours[-1] = white, black
    return colours


EIGHTHS = tuple(k / 8 for k in range(1, 8))


@pattern(
    "bars",
    FAMILY,
    "Colour bars",
    "Eight bars, each even",
    BARS,
    finds=("no-colour", "wrong-hue", "colour-roll", "hanover", "gun-missing"),
)
def bars(fmt: Format, variant: str) -> Picture:
    """Eight equal bars across the exact picture; the outer ones run on to the frame's edges."""
    levels = [int(level) / 100 for level in variant.split("/")]
    return banded(fmt, [bar_row(fmt, _eight(*levels), EIGHTHS)], [])


@pattern("bars-over-white", FAMILY, "Bars over white", "Bars even, white untinted", finds=("wrong-hue", "tint-high"))
def bars_over_white(fmt: Format, variant: str) -> Picture:  # noqa: ARG001 - there is one look
    """75/0/75/0 bars over a quarter of the height of reference white at 100 %."""
    white = np.full(fmt.samples, 0xFFFFFF, dtype=np.uint32)
    return banded(fmt, [bar_row(fmt, _eight(0.75, 0, 0.75, 0), EIGHTHS), white], [0.75])


SEVENTHS = tuple(k / 7 for k in range(1, 7))
SET_LIGHTER = 4 / 92.5
"""11.5 IRE above a black of 7.5 IRE."""


@pattern(
    "split-bars",
    FAMILY,
    "Split-field bars",
    "No -I and +Q: below black",
    ("plain",),
    finds=("wrong-hue", "no-range", "black-level"),
)
def split_bars(fmt: Format, variant: str) -> Picture:  # noqa: ARG001 - there is one look
    """Bars, bars in reverse with black between, and white with black-level strips, 67, 8 and 25 % of the height.

    After SMPTE EG 1. Its −I and +Q patches need R'G'B' below black, which a frame cannot hold: both are black here,
    and so is the strip at 3.5 IRE. The strips are a third of a bar each.
    """
    upper = GUNS_LIT[:7] * 0.75
    middle = upper[::-1] * (np.arange(7) % 2 == 0)[:, None]
    grey = np.ones(3)
    lower = np.stack([0 * grey, grey, 0 * grey, SET_LIGHTER * grey, 0 * grey])
    lower_bounds = [5 / 28, 10 / 28, 5 / 7 + 2 / 21, 6 / 7]
    rows = [bar_row(fmt, upper, SEVENTHS), bar_row(fmt, middle, SEVENTHS), bar_row(fmt, lower, lower_bounds)]
    return banded(fmt, rows, [0.67, 0.75])


HUES: dict[str, Colour] = {
    "red": RED, "green": GREEN, "blue": BLUE, "cyan": CYAN, "magenta": MAGENTA, "yellow": YELLOW,
}  # fmt: skip
LUMA = np.array([0.299, 0.587, 0.114])
"""Luma of R', G', B' (ITU-R BT.601-7, §2.5.1)."""


@pattern("saturation", FAMILY, "Saturation steps", "Even steps, one hue", tuple(HUES), finds=("wrong-hue", "hanover"))
def saturation(fmt: Format, variant: str) -> Picture:
    """Eleven bars of equal luma: grey, then one hue in ten equal steps of chroma up to its 75 % bar."""
    full = np.array(HUES[variant]) * 0.75
    grey = np.full(3, full @ LUMA)
    steps = np.linspace(0, 1, 11)[:, None]
    return banded(fmt, [bar_row(fmt, grey + steps * (full - grey), [k / 11 for k in range(1, 11)])], [])
