"""Flat fields: the whole frame one colour, by level of signal in percent."""

from appliance.drawing.colours import BLUE, CYAN, GREEN, MAGENTA, RED, WHITE, YELLOW, Colour, at_level
from appliance.drawing.frames import flat
from appliance.patterns.catalogue import Draw, pattern
from appliance.patterns.picture import Picture
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
    caution=("Full white loads the set.", "Any key: black at once."),
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
    finds=("flyback-lines", "gun-short", "black-level", "off-spot"),
)(_field(WHITE))
pattern(
    "grey",
    FAMILY,
    "Grey field",
    "Tint, burnt-in marks, hum",
    ("50", "75", "25", "10", "5"),
    finds=("burn-in", "hum-1", "hum-2", "interference", "tint-drift", "slow-start"),
)(_field(WHITE))
