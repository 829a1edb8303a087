"""What an entry of the catalogue is, and the decorator that registers it: families import this, it imports none."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypedDict, Unpack

from appliance.patterns.picture import Picture
from appliance.video.formats import Format

Draw = Callable[[Format, str], Picture]

CAPTION_WIDTH = 28
"""Characters of a caption's line: what is read at two metres on a small set."""


@dataclass(frozen=True)
class Pattern:
    """One picture of the catalogue.

    ``variants``: their keys, the usual one first. ``title`` and ``shows`` (what to look for) are each one caption
    line of at most 28 characters. ``timed``: ``go`` starts a timed run of it. ``caution``: the words shown before
    it runs, at most two lines, or none. ``bright``: the variants that count as full load; one of those may stand
    still on a tube for ``rest`` seconds (None: as long as you like) before the box shows the variant ``dimmed``.
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


REGISTRY: dict[str, Pattern] = {}
"""Every pattern registered so far, in the order of the imports; ``catalogue()`` is the way to read it."""


def pattern(
    key: str, family: str, title: str, shows: str, variants: tuple[str, ...] = ("plain",), **columns: Unpack[Columns]
) -> Callable[[Draw], Draw]:
    """Register the decorated drawing function as pattern ``key``.

    Raises ``ValueError`` for a key already there, a line too long for a caption, a variant that is none.
    """

    def register(draw: Draw) -> Draw:
        entry = Pattern(key, family, title, shows, variants, draw, **columns)
        check_entry(entry)
        if key in REGISTRY:
            raise ValueError(f"pattern {key!r} is registered twice")
        REGISTRY[key] = entry
        return draw

    return register


def check_entry(entry: Pattern) -> None:
    """Raises ``ValueError`` when an entry does not keep to the words of :class:`Pattern`."""
    for line in (entry.title, entry.shows, *entry.caution):
        if len(line) > CAPTION_WIDTH:
            raise ValueError(f"pattern {entry.key!r}: {line!r} is longer than a caption's {CAPTION_WIDTH} characters")
    strangers = (entry.bright | ({entry.dimmed} - {""})) - set(entry.variants)
    if strangers:
        raise ValueError(f"pattern {entry.key!r}: no variant {', '.join(sorted(strangers))}")
