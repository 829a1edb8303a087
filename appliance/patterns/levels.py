"""Levels: steps of each gun and of white."""

import numpy as np

from appliance.drawing.area import Area
from appliance.drawing.colours import BLUE, GREEN, RED, WHITE, pack
from appliance.drawing.frames import stack
from appliance.drawing.profiles import Floats, edge, half_amplitude, sample_places
from appliance.patterns.catalogue import pattern
from appliance.patterns.picture import Picture
from appliance.video.formats import Format

FAMILY = "levels"
STEPS = 10
TOPS: dict[str, float] = {"full": 1.0, "near-black": 0.1}
"""Signal of the tenth step; near black one step is 1 %, given to the nearest of the frame's codes."""


def staircase(fmt: Format, top: float) -> Floats:
    """Signal along a line that begins at black and rises in ten equal steps to ``top`` across the exact picture."""
    area = Area.of(fmt)
    rises = np.array([area.x(k / (STEPS + 1)) for k in range(1, STEPS + 1)])
    risen = edge(sample_places(fmt.samples)[:, None] - rises, half_amplitude(fmt))
    signal: Floats = risen.sum(axis=1) * (top / STEPS)
    return signal


@pattern("rgb-steps", FAMILY, "RGB steps", "All guns start together", tuple(TOPS))
def rgb_steps(fmt: Format, variant: str) -> Picture:
    """Four bands, red, green, blue and white, each from black at the left in ten steps."""
    signal = staircase(fmt, TOPS[variant])
    rows = pack(signal[None, :, None] * np.array([RED, GREEN, BLUE, WHITE])[:, None, :])
    return Picture(stack(rows, np.arange(fmt.lines) * 4 // fmt.lines))
