"""The catalogue: every pattern in the order it is stepped through."""

from difflib import get_close_matches

from appliance.errors import Refused
from appliance.patterns import families  # noqa: F401 - importing the families registers their patterns
from appliance.patterns.registry import REGISTRY, Pattern

__all__ = ["Pattern", "catalogue", "find_pattern"]


def catalogue() -> dict[str, Pattern]:
    """Every pattern by its key, in the order of stepping."""
    return dict(REGISTRY)


def find_pattern(name: str) -> tuple[Pattern, str]:
    """Pattern and variant of ``key`` or ``key:variant``; raises :class:`Refused` naming the nearest."""
    key, _, variant = name.partition(":")
    patterns = catalogue()
    if key not in patterns:
        hint = "".join(f"did you mean {near}? " for near in get_close_matches(key[:40].lower(), patterns, 1, 0.4))
        raise Refused(f"pattern {key!r}: unknown; {hint}`fieldmouse patterns` lists all {len(patterns)}")
    entry = patterns[key]
    if variant and variant not in entry.variants:
        raise Refused(f"variant {variant!r} of {key}: unknown; there are {', '.join(entry.variants)}")
    return entry, variant or entry.variants[0]
