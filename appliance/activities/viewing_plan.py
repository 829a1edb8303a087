"""What a viewing is led by: a route of steps, and the kinds of fault that may be noted at them."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from appliance.patterns.registry import Sparing

SEVERITIES = ("slight", "plain", "bad")
"""By their number from 1."""
USUAL_SEVERITY = 2

PATHS = {"composite": "composite", "modulator": "RF modulator", "luminance": "luminance only"}
"""How the signal comes to the set, and how that is said."""
WARMTHS = ("cold", "warm")
"""Whether the set had been off for long."""
NOT_SAID = ""
"""How warm it is when nobody said so: the first choice, for a default that claims something would be kept as true."""

ZONES = (
    "top left", "top", "top right", "left", "middle", "right", "bottom left", "bottom", "bottom right",
)  # fmt: skip
"""By their number from 1, as they lie on a pad."""

MOST_NOTES = 140
"""Of a visit, those taken back among them; the records take ten more, so that there is always room for a danger."""

ALL_OVER = "all over"
DANGER = "danger"
"""The kind that one press notes before anybody knows more; it is in every table of kinds."""

MORE = ">"
"""No kind, but the way to the groups of all kinds, and in front of a group's name the way to its kinds."""

Page = tuple[str, str]
"""Two lines of at most 28 characters."""


class Sort(StrEnum):
    """How a step's picture is shown: it stands; it moves once its caution is read; a counted load."""

    STILL = "still"
    MOVING = "moving"
    LOAD = "load"


@dataclass(frozen=True)
class Kind:
    """A kind of fault: ``name`` is one line of a caption. ``danger``: it is among those that end a visit."""

    key: str
    name: str
    group: str
    danger: bool = False


@dataclass(frozen=True)
class Step:
    """One picture and what to look for.

    ``title`` and ``look`` are a caption's two lines; ``words`` are further screens. ``variants``: the step's own first,
    then those that ``vary`` may show, none of them a load. ``seconds``: how long to look (0: as long as you like);
    ``goes_on``: then the next step comes by itself. ``likely``: the kinds that ``note`` offers first. ``dimmed``: the
    variant under the words of a load. ``sparing``: how long a variant may stand still and what comes then; never, for
    one that is not there. ``caution``: shown before it moves. ``flashing``: any key makes it black. ``sound``: the side
    of a tone that it plays, or none.
    """

    key: str
    title: str
    look: str
    pattern: str
    variants: tuple[str, ...]
    sort: Sort = Sort.STILL
    seconds: int = 0
    goes_on: bool = False
    likely: tuple[str, ...] = ()
    words: tuple[Page, ...] = ()
    caution: tuple[str, ...] = ()
    flashing: bool = False
    dimmed: str = ""
    sparing: Mapping[str, Sparing] = field(default_factory=dict, hash=False)
    sound: str = ""

    @property
    def pages(self) -> tuple[Page, ...]:
        """All screens of words, the title's first."""
        return ((self.title, self.look), *self.words)


@dataclass(frozen=True)
class Route:
    """Steps in order. ``title`` is one line of a caption."""

    name: str
    title: str
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class Guide:
    """What a viewing needs to know: the route, and every kind of fault by its key, in the order they are offered."""

    route: Route
    kinds: Mapping[str, Kind]

    def likely(self, place: int) -> tuple[str, ...]:
        """What ``note`` offers at the step ``place``, counted from 0: its likely kinds, and :data:`MORE` of them."""
        return (*self.route.steps[place].likely, MORE)

    def behind(self, door: str) -> tuple[str, ...]:
        """What :data:`MORE` leads to: the groups; or, with a group's name behind it, that group's kinds."""
        groups = dict.fromkeys(kind.group for kind in self.kinds.values())
        if door == MORE:
            return tuple(MORE + group for group in groups)
        return tuple(key for key, kind in self.kinds.items() if kind.group == door.removeprefix(MORE))
