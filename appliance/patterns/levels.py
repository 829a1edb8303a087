"""Levels: steps of each gun and of white, staircases, ramps, black level, windows, a checker."""

import numpy as np

from appliance.drawing.area import Area
from appliance.drawing.colours import BLACK, BLUE, GREEN, RED, WHITE, Colour, at_level, pack
from appliance.drawing.frames import box, composed, stack
from appliance.drawing.profiles import Floats, edge, half_amplitude, sample_places
from appliance.patterns.picture import Picture
from appliance.patterns.registry import pattern
from appliance.video.formats import Format

FAMILY = "levels"
STEPS = 10
TOPS: dict[str, float] = {"full": 1.0, "near-black": 0.1}
"""Signal of the tenth step; near black one step is 1 %, given to the nearest of the frame's codes."""


def staircase_signal(fmt: Format, bottom: float, top: float) -> Floats:
    """Signal along a line that begins at ``bottom`` and goes in ten equal steps to ``top`` across the exact picture."""
    area = Area.of(fmt)
    rises = np.array([area.x(k / (STEPS + 1)) for k in range(1, STEPS + 1)])
    risen = edge(sample_places(fmt.samples)[:, None] - rises, half_amplitude(fmt))
    signal: Floats = bottom + risen.sum(axis=1) * ((top - bottom) / STEPS)
    return signal


def grey_rows(rows: list[Floats], fmt: Format) -> Picture:
    """A frame of equally high bands of grey, each of the signal along its line."""
    words = pack(np.repeat(np.stack(rows)[:, :, None], 3, axis=2))
    return Picture(stack(words, np.arange(fmt.lines) * len(rows) // fmt.lines))


@pattern(
    "staircase",
    FAMILY,
    "Staircase",
    "Every step seen, all grey",
    ("up", "two-way", "near-black", "near-white"),
    rest=60,
    bright=frozenset({"near-white"}),
    dimmed="up",
    finds=("tint-low", "tint-high", "black-level", "no-range", "weak-tube"),
)
def staircase(fmt: Format, variant: str) -> Picture:
    """Ten equal steps from black to white, a tenth of the signal each; near black and near white 1 % each.

    A tenth is 9.25 IRE (525, with 7.5 IRE setup) or 70 mV (625).
    """
    if variant == "two-way":
        return grey_rows([staircase_signal(fmt, 0, 1), staircase_signal(fmt, 1, 0)], fmt)
    bottom, top = {"up": (0.0, 1.0), "near-black": (0.0, 0.1), "near-white": (0.9, 1.0)}[variant]
    return grey_rows([staircase_signal(fmt, bottom, top)], fmt)


@pattern(
    "rgb-steps",
    FAMILY,
    "RGB steps",
    "All guns start together",
    tuple(TOPS),
    finds=("gun-late", "tint-low", "weak-gun", "gun-missing"),
)
def rgb_steps(fmt: Format, variant: str) -> Picture:
    """Four bands, red, green, blue and white, each from black at the left in ten steps."""
    signal = staircase_signal(fmt, 0, TOPS[variant])
    rows = pack(signal[None, :, None] * np.array([RED, GREEN, BLUE, WHITE])[:, None, :])
    return Picture(stack(rows, np.arange(fmt.lines) * 4 // fmt.lines))


RAMPS: dict[str, Colour] = {"white": WHITE, "red": RED, "green": GREEN, "blue": BLUE}


@pattern(
    "ramp",
    FAMILY,
    "Ramp",
    "Even rise, no tint, no bands",
    ("white", "two-way", "red", "green", "blue"),
    finds=("tint-low", "tint-high"),
)
def ramp(fmt: Format, variant: str) -> Picture:
    """Signal straight from black to white across the exact picture; ``two-way`` goes back in the lower half."""
    area = Area.of(fmt)
    rise = np.clip((sample_places(fmt.samples) - area.left) / area.width, 0, 1)
    if variant == "two-way":
        return grey_rows([rise, 1 - rise], fmt)
    row = pack(rise[:, None] * np.array(RAMPS[variant]))
    return Picture(stack(row[None], np.zeros(fmt.lines, dtype=np.intp)))


PLUGE_STEP = 16 / 876
"""Slightly lighter and slightly darker than black: 10-bit 80 and 48 against 64 of 876 to white (ITU-R BT.814-4)."""

RAISED = 0.05
"""The raised background, since a frame has nothing below black."""


@pattern(
    "pluge",
    FAMILY,
    "PLUGE, black level",
    "Lighter strip just seen",
    ("black", "raised"),
    finds=("black-level", "no-range"),
)
def pluge(fmt: Format, variant: str) -> Picture:
    """A strip 1.83 % lighter beside one 1.83 % darker than their ground, and a full white patch to judge by.

    On black the darker strip cannot be made and is left out: brightness is right when the lighter one is just seen.
    On the ground raised to 5 % both are there: neither may vanish before the other. Levels as in ITU-R BT.814-4;
    the arrangement is our own.
    """
    area = Area.of(fmt)
    ground = RAISED if variant == "raised" else 0.0
    tall = (area.y(0.2), area.y(0.8))
    parts = [
        box(fmt, (area.x(0.22), area.x(0.30)), tall, at_level(WHITE, ground + PLUGE_STEP)),
        box(fmt, (area.x(0.60), area.x(0.80)), (area.y(0.2), area.y(0.4)), WHITE),
        box(fmt, (area.x(0.60), area.x(0.80)), (area.y(0.4), area.y(0.6)), at_level(WHITE, 0.5)),
        box(fmt, (area.x(0.60), area.x(0.80)), (area.y(0.6), area.y(0.8)), at_level(WHITE, 0.2)),
    ]
    if ground:
        parts.append(box(fmt, (area.x(0.38), area.x(0.46)), tall, at_level(WHITE, ground - PLUGE_STEP)))
    return Picture(composed(fmt, parts, at_level(WHITE, ground)))


WINDOWS = ("25", "10", "50", "5", "25-inverse", "25-grey")
WHITE_WINDOWS = frozenset(WINDOWS) - {"25-grey"}


@pattern(
    "window",
    FAMILY,
    "Window",
    "Tails, bent sides, growth",
    WINDOWS,
    rest=60,
    bright=WHITE_WINDOWS,
    dimmed="25-grey",
    finds=("smear", "breathing", "bend-white", "weak-tube", "doming", "big-dim", "small-bright"),
)
def window(fmt: Format, variant: str) -> Picture:
    """A white rectangle of the picture's shape in the middle of black, by percent of the picture's area."""
    percent, _, look = variant.partition("-")
    area, half = Area.of(fmt), (int(percent) / 100) ** 0.5 / 2
    ink, under = {"inverse": (BLACK, WHITE), "grey": (at_level(WHITE, 0.5), BLACK)}.get(look, (WHITE, BLACK))
    across, down = (area.x(0.5 - half), area.x(0.5 + half)), (area.y(0.5 - half), area.y(0.5 + half))
    return Picture(composed(fmt, [box(fmt, across, down, ink)], under))


@pattern(
    "checker",
    FAMILY,
    "Sixteen boxes",
    "White and black alike in all",
    ("white-first", "black-first", "grey"),
    rest=60,
    bright=frozenset({"white-first", "black-first"}),
    dimmed="grey",
    finds=("smear", "bend-white"),
)
def checker(fmt: Format, variant: str) -> Picture:
    """Four by four boxes of quarters of the exact picture, lit and black in turn; half the picture is lit."""
    area, beyond = Area.of(fmt), 20.0
    xs = [-beyond, *(area.x(n / 4) for n in (1, 2, 3)), fmt.samples + beyond]
    ys = [-beyond, *(area.y(n / 4) for n in (1, 2, 3)), fmt.lines + beyond]
    ink = at_level(WHITE, 0.5) if variant == "grey" else WHITE
    first = 1 if variant == "black-first" else 0
    parts = [
        box(fmt, (xs[column], xs[column + 1]), (ys[row], ys[row + 1]), ink)
        for row in range(4)
        for column in range((row + first) % 2, 4, 2)
    ]
    return Picture(composed(fmt, parts))
