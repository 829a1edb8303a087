"""The catalogue: every pattern in the order it is stepped through."""

from dataclasses import replace

import numpy as np

from appliance.errors import Refused
from appliance.patterns.families import ORDER  # importing the families registers their patterns
from appliance.patterns.picture import Frame, Picture
from appliance.patterns.registry import REGISTRY, SPARED, Draw, Pattern
from appliance.video.formats import Format

__all__ = ["Pattern", "catalogue", "find_pattern"]


def catalogue() -> dict[str, Pattern]:
    """Every pattern by its key, in the order of stepping."""
    return dict(sorted(REGISTRY.items(), key=lambda item: ORDER[item[1].draw.__module__]))


def find_pattern(name: str) -> tuple[Pattern, str]:
    """Pattern and variant of ``key`` or ``key:variant``; raises :class:`Refused` naming the nearest.

    A variant that ends in :data:`SPARED` is the one before it at half its signal.
    """
    key, _, variant = name.partition(":")
    patterns = catalogue()
    if key not in patterns:
        from difflib import get_close_matches

        hint = "".join(f"did you mean {near}? " for near in get_close_matches(key[:40].lower(), patterns, 1, 0.4))
        raise Refused(f"pattern {key!r}: unknown; {hint}`fieldmouse patterns` lists all {len(patterns)}")
    entry = patterns[key]
    if variant.endswith(SPARED) and variant.removesuffix(SPARED) in entry.variants:
        return replace(entry, draw=_spared(entry)), variant
    if variant and variant not in entry.variants:
        raise Refused(f"variant {variant!r} of {key}: unknown; there are {', '.join(entry.variants)}")
    return entry, variant or entry.variants[0]


def _spared(entry: Pattern) -> Draw:
    def draw(fmt: Format, variant: str) -> Picture:
        picture = entry.draw(fmt, variant.removesuffix(SPARED))
        return replace(picture, frame=_halved(picture.frame), more=tuple(_halved(frame) for frame in picture.more))

    return draw


def _halved(frame: Frame) -> Frame:
    """Every gun at half its signal, the half code dropped."""
    return frame >> np.uint32(1) & np.uint32(0x7F7F7F)
