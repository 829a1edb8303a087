"""The catalogue: every pattern in the order it is stepped through, registered by one decorator."""

from collections.abc import Callable
from dataclasses import dataclass

from appliance.errors import Refused
from appliance.patterns.picture import Picture
from appliance.video.formats import Format

Draw = Callable[[Format, str], Picture]


@dataclass(frozen=True)
class Pattern:
    """One picture of the catalogue.

    ``variants``: their keys, the usual one first. ``title`` and ``shows`` (what to look for) are each one caption
    line of at most 28 characters. ``timed``: ``go`` starts a timed run of it. ``caution``: the words shown before
    it runs, or "". ``rest``: seconds it may stand still on a tube before the box dims it, or None; then the variant
    ``dimmed`` is shown instead.
    """

    key: str
    family: str
    title: str
    shows: str
    variants: tuple[str, ...]
    draw: Draw
    moving: bool = False
    timed: bool = False
    caution: tuple[str, ...] = ()
    rest: float | None = None
    bright: frozenset[str] = frozenset()
    dimmed: str = ""


_PATTERNS: dict[str, Pattern] = {}


def pattern(  # noqa: PLR0913 - an entry of the catalogue has this many columns
    key: str,
    family: str,
    title: str,
    shows: str,
    variants: tuple[str, ...] = ("plain",),
    *,
    moving: bool = False,
    timed: bool = False,
    caution: tuple[str, ...] = (),
    rest: float | None = None,
    bright: frozenset[str] = frozenset(),
    dimmed: str = "",
) -> Callable[[Draw], Draw]:
    """Register the decorated drawing function as pattern ``key``; raises ``ValueError`` for a key already there."""

    def register(draw: Draw) -> Draw:
        if key in _PATTERNS:
            raise ValueError(f"pattern {key!r} is registered twice")
        _PATTERNS[key] = Pattern(
            key, family, title, shows, variants, draw, moving, timed, caution, rest, bright, dimmed
        )
        return draw

    return register


def catalogue() -> dict[str, Pattern]:
    """Every pattern by its key, in the order of stepping."""
    from appliance.patterns import families  # noqa: F401 - importing the families registers their patterns

    return dict(_PATTERNS)


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
