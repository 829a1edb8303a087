"""The catalogue: every pattern in the order it is stepped through."""

from appliance.errors import Refused
from appliance.patterns import families  # noqa: F401 - importing the families registers their patterns
from appliance.patterns.registry import REGISTRY, Pattern

__all__ = ["Pattern", "catalogue", "find_pattern"]


def catalogue() -> dict[str, Pattern]:
    """Every pattern by its key, in the order of stepping."""
    return dict(REGISTRY)


def find_pattern(name: str) -> tuple[Pattern, str]:
    """Pattern and variant of ``key`` or ``key:variant``; raises :class:`Refused` naming those there are."""
    key, _, variant = name.partition(":")
    patterns = catalogue()
    if key not in patterns:
        raise Refused(f"pattern {key!r}: unknown; there are {', '.join(patterns)}")
    entry = patterns[key]
    if variant and variant not in entry.variants:
        raise Refused(f"variant {variant!r} of {key}: unknown; there are {', '.join(entry.variants)}")
    return entry, variant or entry.variants[0]
