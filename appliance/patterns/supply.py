"""Supply: bounce, load steps and half loads, by which the regulation of EHT and B+ shows."""

from appliance.drawing.area import Area
from appliance.drawing.colours import BLACK, WHITE, at_level
from appliance.drawing.frames import Words, box, composed, flat, uprights
from appliance.patterns.margins import rectangle
from appliance.patterns.picture import Picture, Turns
from appliance.patterns.registry import pattern
from appliance.video.formats import Format

FAMILY = "supply"
LOW, HIGH = 0.1, 0.9
"""Average picture level of the two states (from memory, no source)."""

FADE = (0.37, 0.63)
FADE_FIELDS = 4
"""Fields of each state between, so that the change takes about an eighth of a second."""

SLOW = ("Light and dark by turns", "can trouble eyes · go starts")


def seconds(fmt: Format, length: float) -> int:
    """The nearest whole number of fields to so many seconds."""
    return round(length * fmt.field_rate)


@pattern(
    "bounce",
    FAMILY,
    "Bounce 10/90 %",
    "Size, bends as light changes",
    ("faded", "abrupt"),
    moving=True,
    caution=SLOW,
    flashing=True,
    finds=("breathing", "bend-white", "trip", "black-level"),
)
def bounce(fmt: Format, variant: str) -> Picture:
    """The whole frame at 10 and at 90 % of the signal by turns of two seconds, with a quick fade or at once."""
    stay = seconds(fmt, 2)
    low, high = (flat(fmt, at_level(WHITE, level)) for level in (LOW, HIGH))
    if variant == "abrupt":
        return Picture(low, more=(high,), turns=Turns(((0, stay), (1, stay))))
    between = tuple(flat(fmt, at_level(WHITE, level)) for level in FADE)
    shown = ((0, stay), (1, FADE_FIELDS), (2, FADE_FIELDS), (3, stay), (2, FADE_FIELDS), (1, FADE_FIELDS))
    return Picture(low, more=(*between, high), turns=Turns(shown))


@pattern(
    "load-steps",
    FAMILY,
    "Load steps in a frame",
    "Frame keeps its size",
    ("60", "30"),
    moving=True,
    caution=SLOW,
    flashing=True,
    finds=("breathing", "big-dim", "bend-white"),
)
def load_steps(fmt: Format, variant: str) -> Picture:
    """Frame lines at 90 and 80 % of the picture, and within them black and a white window by turns of two seconds.

    The variant is the window's percent of the picture's area. What a line moves between the turns is breathing.
    """
    area, half = Area.of(fmt), (int(variant) / 100) ** 0.5 / 2
    frame = [*rectangle(fmt, 0.9), *rectangle(fmt, 0.8)]
    window = box(fmt, (area.x(0.5 - half), area.x(0.5 + half)), (area.y(0.5 - half), area.y(0.5 + half)), WHITE)
    stay, unloaded = seconds(fmt, 2), composed(fmt, frame)
    # The window lies within the lines, so these are the same to the last code in both turns.
    return Picture(unloaded, more=(unloaded | composed(fmt, [window]),), turns=Turns(((0, stay), (1, stay))))


LINES = tuple(n / 12 for n in range(1, 12))


@pattern(
    "half-load",
    FAMILY,
    "Half load with uprights",
    "Lines straight through joint",
    ("top", "bottom", "grey"),
    rest=60,
    bright=frozenset({"top", "bottom"}),
    dimmed="grey",
    finds=("bend-white", "hook", "ripple-edge", "tear"),
)
def half_load(fmt: Format, variant: str) -> Picture:
    """The upper or lower half of the picture white with dark uprights, the other black with light ones."""
    return Picture(_halves(fmt, at_level(WHITE, 0.5 if variant == "grey" else 1), top=variant != "bottom"))


def _halves(fmt: Format, ink: tuple[float, float, float], *, top: bool) -> Words:
    area, middle = Area.of(fmt), fmt.lines / 2
    lit, dark = ((0.0, middle), (middle, float(fmt.lines)))[:: 1 if top else -1]
    places = [area.x(share) for share in LINES]
    lower = tuple(-part for part in ink)
    return composed(
        fmt,
        [
            box(fmt, (-20.0, fmt.samples + 20.0), lit, ink),
            uprights(fmt, places, lit, (lower[0], lower[1], lower[2])),
            uprights(fmt, places, dark, ink),
        ],
        BLACK,
    )
