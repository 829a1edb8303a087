"""Pictures in 525 and 625 lines look the same on the tube, and so do progressive and interlaced ones."""

from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from appliance.drawing.area import Area
from appliance.patterns.catalogue import catalogue
from appliance.video.formats import FORMATS

Floats = NDArray[np.float32]

OTHER = {("multiburst", "numbered"), ("multiburst", "plain"), ("sweep", "numbered"), ("sweep", "plain")}
"""They differ on purpose: frequencies of each line system."""
WORDED = {("hum", "told"), ("lead", "told")}
"""As above: words of each format."""

PAIRS = [("240p", "288p"), ("480i", "576i"), ("240p", "480i")]


@cache
def points(name: str) -> tuple[Floats, Floats]:
    """Weights of rows and of samples in the means over 120 × 160 equal parts of the exact picture, a little blurred.

    So the thickness of a scanned line, which is each system's own, weighs little, and places and sizes much.
    """
    fmt = FORMATS[name]
    area = Area.of(fmt)
    return (
        _shares([area.y(n / 120) for n in range(121)], fmt.lines),
        _shares([area.x(n / 160) for n in range(161)], fmt.samples),
    )


def _shares(bounds: list[float], size: int) -> Floats:
    ends = np.array(bounds)[:, None]
    at = np.arange(size)
    inside = np.clip(np.minimum(at + 1, ends[1:]) - np.maximum(at, ends[:-1]), 0, 1)
    return np.asarray(gaussian_filter1d(inside / (ends[1] - ends[0]), 1.2, axis=0), np.float32)


def look(key: str, variant: str, name: str) -> Floats:
    """``float32[112, 160]``: what is seen, less the upper and lower edges that the coded rows may leave out.

    Red, green and blue weigh 1, 2 and 4 of 7. Of frames taken in turn it is the last, since the first is often black.
    """
    fmt = FORMATS[name]
    frame = catalogue()[key].draw(fmt, variant).frames[-1][: fmt.lines, : fmt.samples]
    down, across = points(name)
    mixed = (frame >> 16 & 255) + 2 * (frame >> 8 & 255) + 4 * (frame & 255)
    return np.asarray((down @ mixed.astype(np.float32) @ across.T)[4:-4] / (7 * 255))


@pytest.mark.parametrize("key", catalogue())
def test_pictures_look_the_same(key: str) -> None:
    """On the mean within 3 % of the signal, and what there is to see in the same places: correlation above 0.9."""
    for variant in catalogue()[key].variants:
        seen = {name: look(key, variant, name) for name in FORMATS}
        for one, other in PAIRS:
            here, there = seen[one], seen[other]
            assert np.abs(here - there).mean() < 0.03, (variant, one, other)
            differs = (key, variant) in WORDED or ((key, variant) in OTHER and other != "480i")
            if here.std() > 0.001 and not differs:
                assert np.corrcoef(here.ravel(), there.ravel())[0, 1] > 0.9, (variant, one, other)
