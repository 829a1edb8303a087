"""Measuring frames with scipy, knowing nothing of how they were drawn."""

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from appliance.patterns.catalogue import catalogue
from appliance.patterns.picture import Frame
from appliance.video.formats import FORMATS

EVERY = [(key, variant, name) for name in FORMATS for key, entry in catalogue().items() for variant in entry.variants]
"""Every pattern × variant × format."""


def drawn(key: str, variant: str, name: str, field: int = 0) -> Frame:
    """What is shown of a pattern in a field."""
    fmt = FORMATS[name]
    return catalogue()[key].draw(fmt, variant).field(field, fmt.lines, fmt.samples)


def signal(frame: Frame) -> NDArray[np.float64]:
    """``float64[lines, samples, 3]``: R'G'B' codes over 255."""
    return np.stack([frame >> 16 & 255, frame >> 8 & 255, frame & 255], axis=-1) / 255.0


def line_centres(profile: NDArray[np.float64]) -> NDArray[np.float64]:
    """Centres of mass of the bright runs of a profile, element i lying at i + 0.5; runs cut by an end left out."""
    labels, count = ndimage.label(profile > 0.02)
    whole = [n for n in range(1, count + 1) if n not in (labels[0], labels[-1])]
    return np.array(ndimage.center_of_mass(profile, labels, whole))[:, 0] + 0.5
