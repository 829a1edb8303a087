"""The glyph atlas that ships beside this module: every letter ready drawn for each of the four formats.

It is loaded when the first letter is asked for, one format at a time, so that importing costs nothing.
"""

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from appliance.errors import Refused
from appliance.video.formats import Format

ATLAS = Path(__file__).with_name("atlas.npz")
MARGIN = 8
"""Samples kept free on each side of a glyph's advance: its band-limited edges and what leans over reach so far."""


@dataclass(frozen=True)
class Sheet:
    """The glyphs of the format ``name``.

    ``coverage`` is ``uint8[rows, samples]``, 0 none to 255 full, the glyphs side by side with ``MARGIN`` samples
    before and after the advance of each. ``places`` gives of a character its first sample there and its advance in
    samples. ``baseline``: rows above it.
    """

    name: str
    places: dict[str, tuple[int, int]]
    baseline: int

    @cached_property
    def coverage(self) -> NDArray[np.uint8]:
        """Read when something is first written: whether words fit is asked in every format, and needs none of it."""
        with np.load(ATLAS) as atlas:
            coverage: NDArray[np.uint8] = atlas[f"coverage_{self.name}"]
        return coverage

    @property
    def rows(self) -> int:
        """Height in rows of every glyph, from above a capital's accent to below a descender."""
        return len(self.coverage)

    def glyphs(self, text: str) -> Iterator[tuple[int, int]]:
        """First sample and advance of each character; raises Refused, naming it, when the atlas lacks one."""
        for character in unicodedata.normalize("NFC", text):
            if character not in self.places:
                raise Refused(_lacking(text, character))
            yield self.places[character]


def _lacking(text: str, character: str) -> str:
    shown = f"{character!r} (U+{ord(character):04X})"
    return (
        f"text {text!r}: the lettering has no character {shown}; use ASCII, Latin-1 letters or one of the signs "
        f"listed in appliance/lettering/bake.py, or add it there and bake again"
    )


@cache
def sheet(fmt: Format) -> Sheet:
    """The glyphs of ``fmt``, read from the atlas once."""
    with np.load(ATLAS) as atlas:
        characters = [chr(code) for code in atlas["characters"]]
        advances = atlas[f"advances_{fmt.name}"].tolist()
        baseline = int(atlas[f"baseline_{fmt.name}"])
    starts = np.cumsum([0, *(advance + 2 * MARGIN for advance in advances)]).tolist()
    return Sheet(fmt.name, dict(zip(characters, zip(starts, advances, strict=False), strict=False)), baseline)
