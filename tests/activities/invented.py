"""A small invented catalogue and helpers to drive the activities in tests."""

from collections.abc import Iterable

import numpy as np

from appliance.activities.box import Box, Place, Times
from appliance.patterns.catalogue import Pattern
from appliance.patterns.picture import Picture
from appliance.presses.press import Kind, Press
from appliance.settings.tree import Choice
from appliance.video.formats import FORMATS, Format

RATE = FORMATS["240p"].field_rate


def nothing_drawn(fmt: Format, variant: str) -> Picture:
    """A black frame."""
    return Picture(np.zeros((fmt.lines, fmt.samples), np.uint32))


LEVELS = ("100", "25")
PATTERNS = (
    Pattern(
        "white", "fields", "White field", "Bends", LEVELS, nothing_drawn,
        timed=True, rest=60, bright=frozenset({"100"}), dimmed="25",
    ),
    Pattern("red", "fields", "Red field", "Blotches", LEVELS, nothing_drawn),
    Pattern("green", "fields", "Green field", "Blotches", LEVELS, nothing_drawn),
    Pattern("blue", "fields", "Blue field", "Blotches", LEVELS, nothing_drawn),
    Pattern("black", "fields", "Black field", "Glow", ("0",), nothing_drawn),
    Pattern("grid", "geometry", "A grid", "Straight lines", ("plain", "fine"), nothing_drawn),
    Pattern("run", "motion", "A moving grid", "Uneven pace", ("across", "down"), nothing_drawn, moving=True,
            caution=("Moving stripes.",)),
    Pattern("blink", "motion", "A blink", "Nothing", ("plain",), nothing_drawn, moving=True, flashing=True),
)  # fmt: skip
CHOICES = (Choice("240p", "NTSC"), Choice("480i", "NTSC"), Choice("288p", "PAL"))


def a_box(pattern: str = "grid", variant: str = "", now: float = 0.0) -> Box:
    """A box standing on a pattern, its caption up."""
    box = Box(PATTERNS, CHOICES, Times(stress=10, purity=5, caption=4), Place(CHOICES[0], pattern, variant), now)
    box.begin(now)
    return box


def presses(kind: Kind, keys: Iterable[str], at: float = 1.0) -> list[Press]:
    """Presses of one kind."""
    return [Press(kind, key, at) for key in keys]


def short(key: str, at: float = 1.0) -> Press:
    """A short press."""
    return Press(Kind.SHORT, key, at)


def touch(key: str = "go", at: float = 1.0) -> Press:
    """The edge down that comes before everything."""
    return Press(Kind.TOUCH, key, at)
