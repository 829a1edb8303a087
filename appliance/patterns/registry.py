"""What an entry of the catalogue is, and the decorator that registers it: families import this, it imports none."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple, TypedDict, Unpack

from appliance.patterns.picture import Picture
from appliance.video.formats import Format

Draw = Callable[[Format, str], Picture]

CAPTION_WIDTH = 28
"""Characters of a caption's line: what is read at two metres on a small set."""

STANDS = 600.0
"""Seconds that a still picture stands before it is spared: light may be pale, but its edges stay (ours, no source)."""
WORDS_STAND = 60.0
"""Seconds that words of the box stay in one place (ours, no source)."""
SPARED = " spared"
"""Ends the name of a variant at half its signal, which is a fifth of its light (BT.1886)."""


class Sparing(NamedTuple):
    """After so many seconds the box shows the variant ``by`` for the tube's sake."""

    after: float
    by: str


@dataclass(frozen=True)
class Pattern:
    """One picture of the catalogue.

    ``variants``: their keys, the usual one first. ``title`` and ``shows`` (what to look for) are each one caption
    line of at most 28 characters; ``hints`` has other words to look for, by variant. ``timed``: ``go`` starts a timed
    run of it. ``caution``: the words shown before it runs, at most two lines, or none.

    How long it may stand still on a tube: ``bright`` are the variants that count as full load, which the box changes
    for ``dimmed`` after ``rest`` seconds; ``worded`` those with words of the box in one place, for ``plain`` after
    :data:`WORDS_STAND`; every other one for itself at half its signal after ``stands`` seconds, or never if None.

    ``flashing``: a key makes it black at once. ``sounding``: ``go`` starts and stops a tone, its variant the side.
    ``finds``: the kinds of fault that this picture shows plainly.
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
    finds: tuple[str, ...] = ()
    sounding: bool = False
    flashing: bool = False
    hints: Mapping[str, str] = field(default_factory=dict, hash=False)
    stands: float | None = None
    worded: frozenset[str] = frozenset()

    def look_for(self, variant: str) -> str:
        """What to look for on a variant, one caption line."""
        return self.hints.get(variant, self.shows)

    def sparing(self, variant: str) -> Sparing | None:
        """How long a variant may stand still and what comes then; None where nothing does."""
        if variant in self.bright and self.rest is not None:
            return Sparing(self.rest, self.dimmed)
        if variant in self.worded:
            return Sparing(WORDS_STAND, "plain")
        if self.stands is None or variant.endswith(SPARED):
            return None
        return Sparing(self.stands, variant + SPARED)


class Columns(TypedDict, total=False):
    """The columns of an entry that most patterns leave as they are."""

    moving: bool
    timed: bool
    caution: tuple[str, ...]
    rest: float | None
    bright: frozenset[str]
    dimmed: str
    finds: tuple[str, ...]
    sounding: bool
    flashing: bool
    hints: Mapping[str, str]
    stands: float | None
    worded: frozenset[str]


REGISTRY: dict[str, Pattern] = {}
"""Every pattern registered so far, in the order of the imports; ``catalogue()`` is the way to read it."""


def pattern(
    key: str, family: str, title: str, shows: str, variants: tuple[str, ...] = ("plain",), **columns: Unpack[Columns]
) -> Callable[[Draw], Draw]:
    """Register the decorated drawing function as pattern ``key``; it stands :data:`STANDS` unless told otherwise.

    Raises ``ValueError`` for a key already there, a line too long for a caption, a variant that is none.
    """

    def register(draw: Draw) -> Draw:
        entry = Pattern(key, family, title, shows, variants, draw, **Columns(stands=STANDS) | columns)
        check_entry(entry)
        if key in REGISTRY:
            raise ValueError(f"pattern {key!r} is registered twice")
        REGISTRY[key] = entry
        return draw

    return register


def check_entry(entry: Pattern) -> None:
    """Raises ``ValueError`` when an entry does not keep to the words of :class:`Pattern`."""
    for line in (entry.title, entry.shows, *entry.caution, *entry.hints.values()):
        if len(line) > CAPTION_WIDTH:
            raise ValueError(f"pattern {entry.key!r}: {line!r} is longer than a caption's {CAPTION_WIDTH} characters")
    named = (
        entry.bright
        | entry.worded
        | set(entry.hints)
        | ({entry.dimmed} - {""})
        | ({"plain"} if entry.worded else set())
    )
    strangers = named - set(entry.variants)
    if strangers:
        raise ValueError(f"pattern {entry.key!r}: no variant {', '.join(sorted(strangers))}")
