"""Average picture level of a pattern: how much signal and how much light it is, over its picture and its time."""

from collections import Counter

import numpy as np

from appliance.patterns.picture import Picture
from appliance.video.formats import Format
from appliance.video.light import AveragePicture, average_picture


def average_level(fmt: Format, picture: Picture) -> AveragePicture:
    """Percent of full white over the first window, or over a whole period of a picture that takes frames in turn."""
    colours: Counter[int] = Counter()
    for index, fields in picture.turns.shown if picture.turns else ((0, 1),):
        words, counts = np.unique(picture.frames[index][: fmt.lines, : fmt.samples], return_counts=True)
        colours.update(dict(zip(words.tolist(), (counts * fields).tolist(), strict=True)))
    return average_picture(fmt, colours)
