"""Signal levels to XRGB words.

A colour is three signal values R'G'B', 0 … 1; 1 is code 255. What is between two colours is reckoned in signal
values too, because the lead carries signal and the band limit of an edge belongs to the signal.
"""

import numpy as np
from numpy.typing import NDArray

Colour = tuple[float, float, float]
"""R'G'B' signal values, 0 … 1."""

BLACK: Colour = (0.0, 0.0, 0.0)
RED: Colour = (1.0, 0.0, 0.0)
GREEN: Colour = (0.0, 1.0, 0.0)
BLUE: Colour = (0.0, 0.0, 1.0)
YELLOW: Colour = (1.0, 1.0, 0.0)
CYAN: Colour = (0.0, 1.0, 1.0)
MAGENTA: Colour = (1.0, 0.0, 1.0)
WHITE: Colour = (1.0, 1.0, 1.0)


def at_level(colour: Colour, level: float) -> Colour:
    """``colour`` brought down to ``level`` (0 … 1) of its signal."""
    red, green, blue = colour
    return red * level, green * level, blue * level


def pack(signal: NDArray[np.floating]) -> NDArray[np.uint32]:
    """XRGB words of ``signal[..., 3]``, values 0 … 1 (beyond are clipped), to the nearest of 256 codes."""
    codes = np.floor(np.clip(signal, 0, 1) * 255 + 0.5).astype(np.uint32)
    words: NDArray[np.uint32] = codes[..., 0] << 16 | codes[..., 1] << 8 | codes[..., 2]
    return words


def word(colour: Colour) -> int:
    """The XRGB word of one colour."""
    return int(pack(np.array(colour)))


def between(under: Colour, over: Colour) -> NDArray[np.uint32]:
    """Words of the 256 even steps of signal from ``under`` to ``over``."""
    share = np.linspace(0, 1, 256)[:, None]
    return pack(np.array(under) * (1 - share) + np.array(over) * share)


def blend(coverage: NDArray[np.floating], under: Colour, over: Colour) -> NDArray[np.uint32]:
    """Words of ``coverage`` (0 … 1, any shape): 0 gives ``under``, 1 gives ``over``."""
    index = (np.clip(coverage, 0, 1) * 255 + 0.5).astype(np.uint8)
    words: NDArray[np.uint32] = between(under, over)[index]
    return words
