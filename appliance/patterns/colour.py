"""Colour: bars."""

import numpy as np

from appliance.drawing.area import Area
from appliance.drawing.colours import pack
from appliance.drawing.frames import stack
from appliance.drawing.profiles import edge, half_amplitude, sample_places
from appliance.patterns.catalogue import pattern
from appliance.patterns.picture import Picture
from appliance.video.formats import Format

FAMILY = "colour"

BARS = ("100/0/100/0", "100/0/75/0", "75/0/75/0")
"""Percent of white, black, and the greatest and least of the coloured bars (ITU-R BT.471 nomenclature)."""

GUNS_LIT = np.array(
    [(1, 1, 1), (1, 1, 0), (0, 1, 1), (0, 1, 0), (1, 0, 1), (1, 0, 0), (0, 0, 1), (0, 0, 0)], dtype=float
)
"""Which guns are lit in the eight bars: white, yellow, cyan, green, magenta, red, blue, black."""


@pattern("bars", FAMILY, "Colour bars", "Eight bars, each even", BARS)
def bars(fmt: Format, variant: str) -> Picture:
    """Eight equal bars across the exact picture; the outer ones run on to the frame's edges."""
    white, black, most, least = (int(level) / 100 for level in variant.split("/"))
    colours = least + (most - least) * GUNS_LIT
    colours[0], colours[-1] = white, black
    area, places = Area.of(fmt), sample_places(fmt.samples)
    bounds = np.array([area.x(k / 8) for k in range(1, 8)])
    rises = edge(places[:, None] - bounds, half_amplitude(fmt))
    row = pack(colours[0] + rises @ np.diff(colours, axis=0))
    return Picture(stack(row[None], np.zeros(fmt.lines, dtype=np.intp)))
