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
)(_field(WHITE))

_BLOTCHES = "Blotches of other colours"
for _key, _colour, _shows in (
    ("red", RED, _BLOTCHES),
    ("green", GREEN, _BLOTCHES),
    ("blue", BLUE, _BLOTCHES),
    ("cyan", CYAN, "Green and blue even all over"),
    ("magenta", MAGENTA, "Red and blue even all over"),
    ("yellow", YELLOW, "Red and green even all over"),
):
    pattern(_key, FAMILY, f"{_key.capitalize()} field", _shows, LEVELS, rest=60, bright=FULL, dimmed="25")(
        _field(_colour)
    )

pattern("black", FAMILY, "Black field", "Slanting lines, stray glow", ("0",))(_field(WHITE))
pattern("grey", FAMILY, "Grey field", "Tint, burnt-in marks, hum", ("50", "75", "25", "10", "5"))(_field(WHITE))
