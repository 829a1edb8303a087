"""Detail: bursts, a sweep, wedges, pulse and bar, needles, focus patches."""

import numpy as np

from appliance import lettering
from appliance.drawing.area import Area
from appliance.drawing.colours import BLACK, WHITE, at_level, blend, pack
from appliance.drawing.frames import Part, Words, box, composed, stack, uprights
from appliance.drawing.profiles import Floats, half_amplitude, horizontals, sample_places, span, verticals
from appliance.patterns.grid import middle_row
from appliance.patterns.inks import LINES_BLUR
from appliance.patterns.picture import Picture
from appliance.patterns.registry import pattern
from appliance.video.formats import SAMPLE_RATE, Format

FAMILY = "detail"

BURSTS: dict[str, tuple[float, ...]] = {"525": (0.5, 1, 2, 3, 3.58, 4.2), "625": (0.5, 1, 2, 4, 4.8, 5.8)}
"""MHz: 625 as on line 18 of CCIR Rec. 473; 525 as in the NTC-7 combination signal (from memory)."""

SWING: dict[str, float] = {"525": 0.5, "625": 0.6}
"""Signal from trough to crest: 50 IRE (525, without setup) and 420 of 700 mV (625)."""

SAMPLES_A_MHZ = 1e6 / SAMPLE_RATE


BAND = (0.37, 0.66)
"""Upper and lower end of bursts and sweep in shares of the picture's height. Fine upright lines are stripes to the
eye, which may stand over 40 % of a screen at most (ITU-R BT.1702-3), and no caution is shown before a still picture: so
they keep well below. The rest is the grey that is their mean."""


def banded(fmt: Format, signal: Floats) -> Words:
    """A frame of mid grey with ``signal`` along the lines of the band."""
    area, rows = Area.of(fmt), np.arange(fmt.lines)
    top, bottom = (round(area.y(share)) for share in BAND)
    both = pack(np.repeat(np.stack([np.full(fmt.samples, 0.5), signal])[:, :, None], 3, axis=2))
    return stack(both, ((rows >= top) & (rows < bottom)).astype(np.intp))


@pattern(
    "multiburst",
    FAMILY,
    "Multiburst, MHz",
    "Which bursts are still lines",
    ("numbered", "plain"),
    finds=("soft", "smear"),
)
def multiburst(fmt: Format, variant: str) -> Picture:
    """Six bursts at the line system's frequencies, after their crest and trough; sine-squared envelopes.

    On composite the burst nearest the subcarrier shows as colour on a colour set: that is the system's limit.
    """
    area, system = Area.of(fmt), fmt.line_system.name
    half, places = SWING[system] / 2, sample_places(fmt.samples)
    slot, gap = 0.13 * area.width, 5.0
    signal = np.full(fmt.samples, 0.5)
    signal += half * span(area.x(0.02), area.x(0.07), fmt.samples, half_amplitude(fmt))
    signal -= half * span(area.x(0.07), area.x(0.12), fmt.samples, half_amplitude(fmt))
    middles = [area.x(0.12) + (n + 0.5) * slot for n in range(6)]
    for frequency, middle in zip(BURSTS[system], middles, strict=True):
        reach = slot / 2 - gap
        envelope = span(middle - reach, middle + reach, fmt.samples, 2 * half_amplitude(fmt))
        signal += half * envelope * np.sin(2 * np.pi * frequency * SAMPLES_A_MHZ * (places - middle))
    words = banded(fmt, signal)
    if variant == "numbered":
        _number(words, fmt, [(f"{f:g}", x) for f, x in zip(BURSTS[system], middles, strict=True)], BAND[1])
    return Picture(words)


def _number(words: Words, fmt: Format, numbers: list[tuple[str, float]], height: float) -> None:
    """A dark band at a share of the picture's height, with numbers centred at samples."""
    row, high = round(Area.of(fmt).y(height)), lettering.height(fmt)
    words[row : row + high] = 0x101010
    for text, x in numbers:
        lettering.write(words, fmt, text, round(x - lettering.width(text, fmt) / 2), row, paper=None)


NUMBERS = 0.75
"""Where the numbers of a sweep begin, below its marks."""

SWEEP: dict[str, tuple[int, int]] = {"525": (0, 5), "625": (0, 6)}
"""MHz at the left and right edge of the exact picture: to beyond what each system's channel passes."""


@pattern(
    "sweep", FAMILY, "Sweep, marks at whole MHz", "Where the lines fade to grey", ("numbered", "plain"), finds=("soft",)
)
def sweep(fmt: Format, variant: str) -> Picture:
    """A sine whose frequency rises evenly along the line; beneath, a mark at each whole MHz."""
    area, (low, high) = Area.of(fmt), SWEEP[fmt.line_system.name]
    rate = (high - low) / area.width
    away = sample_places(fmt.samples) - area.left
    signal = 0.5 + SWING[fmt.line_system.name] / 2 * np.sin(
        2 * np.pi * SAMPLES_A_MHZ * (low * away + rate * away**2 / 2)
    )
    words = banded(fmt, signal)
    if variant == "numbered":
        marks = [(f, area.left + (f - low) / rate) for f in range(1, high)]
        top, bottom = round(area.y(BAND[1])), round(area.y(NUMBERS))
        line = verticals([x for _, x in marks], fmt.samples, half_amplitude(fmt))
        words[top:bottom] = blend(line, BLACK, WHITE)
        _number(words, fmt, [(str(f), x) for f, x in marks], NUMBERS)
    return Picture(words)


WEDGE_LINES = (100, 500)
"""TV lines at the upper and lower end of a wedge."""

WEDGE_CYCLES = 4.5
WEDGE_SPAN = (0.17, 0.83)


def wedge_frequency(fmt: Format, tv_lines: Floats) -> Floats:
    """Cycles a sample of so many TV lines: light and dark lines to a picture height laid along the line."""
    return tv_lines / 2 / (Area.of(fmt).width * 3 / 4)


@pattern("wedges", FAMILY, "Wedges, 100-500 TV lines", "Where the lines run together", ("plain",), finds=("soft",))
def wedges(fmt: Format, variant: str) -> Picture:  # noqa: ARG001 - there is one look
    """Three wedges of nine lines, evenly graded from 100 TV lines above to 500 below, marked at every hundred.

    TV lines = 2 · f · active time · ¾: 79.0 a MHz (525), 78.0 (625); what a set loses first is its channel.
    The lines are sines, so that each height of a wedge holds one frequency only.
    """
    area = Area.of(fmt)
    top, bottom = (round(area.y(share)) for share in WEDGE_SPAN)
    tv_lines = np.interp(np.arange(top, bottom) + 0.5, (top, bottom), WEDGE_LINES)
    wave = wedge_frequency(fmt, tv_lines)
    reach = int(WEDGE_CYCLES / wave[0]) + 1
    away = np.arange(-reach, reach + 1)
    turns = wave[:, None] * away
    shape = np.where(np.abs(turns) <= WEDGE_CYCLES, 0.5 + 0.5 * np.cos(2 * np.pi * turns), 0)
    words = blend(shape, BLACK, WHITE)
    frame = np.zeros((fmt.lines, fmt.samples), np.uint32)
    for share in (0.22, 0.5, 0.78):
        left = round(area.x(share)) - reach
        frame[top:bottom, left : left + len(away)] = words
    _grade(frame, fmt, top, bottom)
    return Picture(frame)


def _grade(frame: Words, fmt: Format, top: int, bottom: int) -> None:
    """Marks and numbers at every hundred TV lines, between the wedges."""
    area, thick = Area.of(fmt), fmt.lines_per_row
    for hundreds in range(1, 6):
        row = min(round(top + (bottom - top) * (hundreds - 1) / 4), bottom - thick)
        mark = blend(span(area.x(0.335), area.x(0.36), fmt.samples, half_amplitude(fmt)), BLACK, WHITE)
        frame[row : row + thick] |= mark
        if hundreds % 2:
            lettering.write(
                frame, fmt, f"{hundreds}00", round(area.x(0.60)), round(row - lettering.height(fmt) / 2), paper=None
            )


@pattern(
    "pulse-and-bar",
    FAMILY,
    "2T pulse and bar",
    "Pulse as high as bar, no rim",
    ("white", "inverse"),
    rest=60,
    bright=frozenset({"inverse"}),
    dimmed="white",
    finds=("smear", "ghost"),
)
def pulse_and_bar(fmt: Format, variant: str) -> Picture:
    """A 2T sine-squared pulse (ITU-T J.61) and a bar with 2T edges, a third of the picture wide."""
    area, whole = Area.of(fmt), (-1.0, fmt.lines + 1.0)
    ink, under = (WHITE, BLACK) if variant == "white" else (BLACK, WHITE)
    parts = [
        uprights(fmt, [area.x(0.25)], whole, ink),
        box(fmt, (area.x(0.45), area.x(0.45) + area.width / 3), whole, ink),
    ]
    return Picture(composed(fmt, parts, under))


NEEDLES = (0.1, 0.3, 0.5, 0.7, 0.9)


@pattern(
    "needles",
    FAMILY,
    "Needle lines",
    "Second edges to the right",
    ("white", "black", "on-grey"),
    finds=("ghost", "hook", "ripple-edge", "tear"),
)
def needles(fmt: Format, variant: str) -> Picture:
    """Single 2T verticals a fifth of the picture apart, so that an echo up to 10 µs stands free.

    On grey, lighter and darker ones in turn show echoes of both signs.
    """
    area, whole = Area.of(fmt), (-1.0, fmt.lines + 1.0)
    places = [area.x(share) for share in NEEDLES]
    if variant == "on-grey":
        parts = [uprights(fmt, places[::2], whole, WHITE), uprights(fmt, places[1::2], whole, BLACK)]
        return Picture(composed(fmt, parts, at_level(WHITE, 0.4)))
    ink, under = (WHITE, BLACK) if variant == "white" else (BLACK, at_level(WHITE, 0.75))
    return Picture(composed(fmt, [uprights(fmt, places, whole, ink)], under))


PATCH_PLACES = (0.17, 0.5, 0.83)
PATCH_LINES = {"525": 5, "625": 6}
"""Scanned lines from line to line; uprights are as far apart on the tube."""
PATCH_COUNT = 7
PATCH_GAP = 6.0
"""Samples from the middle of a patch to its horizontals on the left and its uprights on the right."""


@pattern(
    "focus",
    FAMILY,
    "Focus patches",
    "Scan lines apart everywhere",
    ("white", "green"),
    hints={"green": LINES_BLUR["green"]},
    finds=("soft", "soft-warm"),
)
def focus(fmt: Format, variant: str) -> Picture:
    """Patches of seven fine horizontals beside seven fine verticals, in the middle, at the edges and in the corners."""
    area, step = Area.of(fmt), PATCH_LINES[fmt.line_system.name] * fmt.lines_per_row
    ink = WHITE if variant == "white" else (0.0, 1.0, 0.0)
    near = np.arange(PATCH_COUNT) * step
    wide = near[-1] / area.aspect
    middles = [area.x(share) for share in PATCH_PLACES]
    tops = [middle_row(fmt) + round((share - 0.5) * area.height) - near[-1] / 2 for share in PATCH_PLACES]
    down = np.sum([horizontals(top + near, fmt.lines_per_row, fmt.lines) for top in tops], axis=0)
    solid = np.sum([horizontals([top + near[-1] / 2], near[-1], fmt.lines) for top in tops], axis=0)
    had = half_amplitude(fmt)
    flat = np.sum([span(x - wide - PATCH_GAP, x - PATCH_GAP, fmt.samples, had) for x in middles], axis=0)
    fine = np.sum([verticals(x + PATCH_GAP + near / area.aspect, fmt.samples, had) for x in middles], axis=0)
    return Picture(composed(fmt, [Part(flat, down, ink), Part(fine, solid, ink)]))
