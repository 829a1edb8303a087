"""Flat fields: the whole frame one colour, by level of signal in percent; pairs of halves; a grey to watch hum on."""

from appliance import lettering
from appliance.drawing.area import Area
from appliance.drawing.colours import BLUE, CYAN, GREEN, MAGENTA, RED, WHITE, YELLOW, Colour, at_level
from appliance.drawing.frames import box, composed, flat
from appliance.patterns.picture import Picture
from appliance.patterns.registry import Draw, pattern
from appliance.video.formats import Format

FAMILY = "fields"
LEVELS = ("100", "75", "50", "25", "10")
FULL = frozenset({"100"})


def _field(colour: Colour) -> Draw:
    def draw(fmt: Format, variant: str) -> Picture:
        return Picture(flat(fmt, at_level(colour, int(variant) / 100)))

    return draw


pattern(
    "white",
    FAMILY,
    "White field",
    "Bends, swells, snaps, burn",
    LEVELS,
    timed=True,
    rest=60,
    bright=FULL,
    dimmed="25",
    finds=("burn-in", "breathing", "trip", "arc", "weak-tube", "full-white"),
)(_field(WHITE))

_ONE_GUN = ("purity-spot", "purity-stays", "purity-corners", "gun-missing", "weak-gun", "specks", "burn-in")
_TWO_GUNS = ("purity-spot", "gun-missing")
_BLOTCHES = "Blotches of other colours"
for _key, _colour, _shows, _finds in (
    ("red", RED, _BLOTCHES, _ONE_GUN),
    ("green", GREEN, _BLOTCHES, _ONE_GUN),
    ("blue", BLUE, _BLOTCHES, _ONE_GUN),
    ("cyan", CYAN, "Green and blue even all over", _TWO_GUNS),
    ("magenta", MAGENTA, "Red and blue even all over", _TWO_GUNS),
    ("yellow", YELLOW, "Red and green even all over", _TWO_GUNS),
):
    pattern(
        _key, FAMILY, f"{_key.capitalize()} field", _shows, LEVELS, rest=60, bright=FULL, dimmed="25", finds=_finds
    )(_field(_colour))

pattern(
    "black",
    FAMILY,
    "Black field",
    "Slanting lines, stray glow",
    ("0",),
    stands=None,  # nothing is lit
    finds=("flyback-lines", "gun-short", "black-level", "off-spot"),
)(_field(WHITE))
pattern(
    "grey",
    FAMILY,
    "Grey field",
    "Tint, burnt-in marks, hum",
    ("50", "75", "25", "10", "5"),
    stands=None,  # even all over, and tint is watched on it while a set warms up
    finds=("burn-in", "hum-1", "hum-2", "interference", "tint-drift", "slow-start"),
)(_field(WHITE))


PAIRS: dict[str, tuple[Colour, Colour]] = {
    "red-cyan": (RED, CYAN),
    "green-magenta": (GREEN, MAGENTA),
    "blue-yellow": (BLUE, YELLOW),
}


@pattern(
    "halves",
    FAMILY,
    "Half fields",
    "Each half one even colour",
    tuple(PAIRS),
    finds=("purity-spot", "gun-missing", "smear"),
)
def halves(fmt: Format, variant: str) -> Picture:
    """A gun at the left, the other two at the right, all at 75 %: together they light the whole screen."""
    left, right = (at_level(colour, 0.75) for colour in PAIRS[variant])
    part = box(fmt, (Area.of(fmt).centre_x, fmt.samples + 20.0), (0.0, float(fmt.lines)), right)
    return Picture(composed(fmt, [part], left))


MAINS = (50, 60)
HUM_LEVEL = 0.4


def hum_words(fmt: Format, mains: int) -> str:
    """How a hum bar of that mains frequency goes: its speed is the field rate less the mains frequency."""
    rate = abs(float(fmt.field_rate) - mains)
    if rate < 0.001:
        return f"{mains} Hz mains: stands still"
    return f"{mains} Hz mains: {1 / rate:.0f} s a bar" if rate < 1 else f"{mains} Hz mains: {rate:.0f} bars a s"


@pattern(
    "hum",
    FAMILY,
    "Grey for hum, watch 20 s",
    "Shaded level bars that drift",
    ("told", "plain"),
    stands=None,  # even all over
    worded=frozenset({"told"}),
    finds=("hum-1", "hum-2", "interference"),
)
def hum(fmt: Format, variant: str) -> Picture:
    """A grey at 40 %, with or without the words how long a bar takes to pass in this format on either mains.

    A bar of twice the mains frequency (full-wave) comes as a pair at the same speed.
    """
    grey = flat(fmt, at_level(WHITE, HUM_LEVEL))
    words = [hum_words(fmt, mains) for mains in MAINS]
    return Picture(lettering.caption(grey, fmt, words) if variant == "told" else grey)
