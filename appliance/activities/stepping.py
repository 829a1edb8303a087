"""Stepping through the catalogue: forward, back, variants, families; moving pictures start and stop by ``go``.

Rules: nothing moves, and nothing bright is held, by itself. A still picture asks for no tick once its caption is
gone, unless it may stand only so long on a tube. A moving picture bears no caption while it moves, since its words
would move along, and every key stops it.
"""

from collections.abc import Sequence
from enum import StrEnum
from typing import ClassVar

from appliance.activities.blink import slow_blink
from appliance.activities.showing import BLACK, Caption, Showing, Signals
from appliance.activities.table import Machine, Move, Table
from appliance.patterns.catalogue import Pattern
from appliance.patterns.registry import CAPTION_WIDTH
from appliance.presses.press import Press


class State(StrEnum):
    """Standing still and silent; its caution on the screen; moving or sounding; black by a key, and black for good."""

    STANDING = "standing"
    WARNED = "warned"
    MOVING = "moving"
    BLACKING = "black asked for"
    BLACK = "black"


_STAND = {"stand": Move(State.STANDING, "arrive")}
_EVERYWHERE = {
    **_STAND,
    "forward": Move(State.STANDING, "next"),
    "back": Move(State.STANDING, "previous"),
    "vary": Move(State.STANDING, "vary"),
    "vary held": Move(State.STANDING, "next_family"),
}
_SETTLE = 0.5
"""Seconds of black in which further fingers of the same hand are not taken for the next key."""


class Stepping(Machine):
    """The place in the catalogue. ``caption_time``: seconds a caption stands."""

    table: ClassVar[Table] = {
        State.STANDING: {
            **_EVERYWHERE,
            "note": Move(State.STANDING, "explain"),
            "go with caution": Move(State.WARNED, "warn"),
            "go": Move(State.MOVING, "begin_moving"),
            "caption over": Move(State.STANDING, "drop_caption"),
            "rest over": Move(State.STANDING, "dim"),
        },
        State.WARNED: {
            **_EVERYWHERE,
            "note": Move(State.STANDING, "arrive"),
            "go with caution": Move(State.MOVING, "accept"),
            "caution over": Move(State.STANDING, "arrive"),
        },
        State.MOVING: {
            **_STAND,
            "touch": Move(State.STANDING, "arrive"),
            "touch while flashing": Move(State.BLACKING, "go_black"),
        },
        State.BLACKING: {
            **_STAND,
            "touch": Move(State.BLACKING, "nothing"),
            "settled": Move(State.BLACK, "nothing"),
        },
        State.BLACK: {**_STAND, "touch": Move(State.STANDING, "arrive")},
    }

    def __init__(self, patterns: Sequence[Pattern], caption_time: float) -> None:
        super().__init__(State.STANDING)
        self._patterns, self._caption_time = tuple(patterns), caption_time
        self._index = self._variant = 0
        self._caption: Caption | None = None
        self._high = False
        self._spared = ""
        self._accepted: set[str] = set()
        self._since = 0.0

    @property
    def pattern(self) -> Pattern:
        """The pattern shown."""
        return self._patterns[self._index]

    @property
    def variant(self) -> str:
        """Its variant."""
        return self.pattern.variants[self._variant]

    @property
    def blacked(self) -> bool:
        """True when a key made a flashing picture black."""
        return self.state in (State.BLACKING, State.BLACK)

    def meaning(self, press: Press) -> str:
        """As the machine's; ``go`` and ``touch`` are told apart by what the pattern does."""
        cue, pattern = super().meaning(press), self.pattern
        if cue == "touch" and self.state is State.MOVING and pattern.flashing:
            return "touch while flashing"
        if cue != "go":
            return cue
        if pattern.timed:
            return "go timed"
        if not (pattern.moving or pattern.sounding):
            return "go still"
        return "go with caution" if pattern.caution and pattern.key not in self._accepted else "go"

    def show(self, key: str, variant: str, now: float, *, caption: bool = True) -> None:
        """Go straight to a pattern of the catalogue; an unknown one leads to the first."""
        keys = [pattern.key for pattern in self._patterns]
        self._index = keys.index(key) if key in keys else 0
        variants = self.pattern.variants
        self._variant = variants.index(variant) if variant in variants else 0
        self.cue("stand", now)
        if not caption:
            self.drop_caption(now)

    def showing(self) -> Showing:
        """The pattern with its caption, if that still stands, perhaps at half its signal; or black."""
        if self.blacked:
            return Showing(*BLACK, signals=Signals(attention=slow_blink(self._since)))
        going = self.state is State.MOVING
        sound = self.variant if going and self.pattern.sounding else ""
        shown = self._spared or self.variant
        return Showing(self.pattern.key, shown, going and self.pattern.moving, self._caption, sound=sound)

    def next(self, now: float) -> None:
        """The next pattern, the first after the last."""
        self._go_to((self._index + 1) % len(self._patterns), now)

    def previous(self, now: float) -> None:
        """The pattern before."""
        self._go_to((self._index - 1) % len(self._patterns), now)

    def next_family(self, now: float) -> None:
        """The first pattern of the family that comes after this one's."""
        families = list(dict.fromkeys(pattern.family for pattern in self._patterns))
        family = families[(families.index(self.pattern.family) + 1) % len(families)]
        self._go_to(next(i for i, pattern in enumerate(self._patterns) if pattern.family == family), now)

    def vary(self, now: float) -> None:
        """The pattern's next variant, with its caption."""
        self._variant = (self._variant + 1) % len(self.pattern.variants)
        self.arrive(now)

    def begin_moving(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """Drop the caption and every timer: a moving picture goes on until a key."""
        self._caption, self._spared = None, ""
        self.timers.clear()

    def warn(self, now: float) -> None:
        """The caution, until ``go`` accepts it or it is left."""
        self.tell(self.pattern.caution, now)
        self.timers = {"caution over": now + 30}

    def accept(self, now: float) -> None:
        """The caution was read: it is not shown again for this pattern until the box is next started."""
        self._accepted.add(self.pattern.key)
        self.begin_moving(now)

    def go_black(self, now: float) -> None:
        """Black at once."""
        self._since = now
        self.timers = {"settled": now + _SETTLE}

    def explain(self, now: float) -> None:
        """What to look for, in words, whatever else the caption says on arrival; what was spared is as it was."""
        self._stand_anew(now)
        self.tell((_title(self.pattern, self.variant), self.pattern.look_for(self.variant)), now)

    def drop_caption(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """No words over the picture."""
        self._caption = None
        self.timers.pop("caption over", None)

    def dim(self, now: float) -> None:
        """What may stand longer, instead of a picture that has stood long enough."""
        pattern, sparing = self.pattern, self.pattern.sparing(self.variant)
        assert sparing is not None  # else there was no timer
        bright = self.variant in pattern.bright
        if sparing.by not in pattern.variants:
            self._spared = sparing.by
            self.tell(("Dimmed to spare the tube", "note: bright again"), now)
            return
        self._variant = pattern.variants.index(sparing.by)
        self._stand_anew(now)
        if bright:
            self.tell(("Dimmed to spare the tube", "vary: other levels"), now)

    def _stand_anew(self, now: float) -> None:
        """The picture as it is, for as long as it may stand."""
        self._spared = ""
        self.timers.pop("rest over", None)
        if sparing := self.pattern.sparing(self.variant):
            self.timers["rest over"] = now + sparing.after

    def _go_to(self, index: int, now: float) -> None:
        self._index, self._variant = index, 0
        self.arrive(now)

    def arrive(self, now: float) -> None:
        """The pattern as one comes to it: its title, and what to do with it or to look for."""
        self.timers.clear()
        self._stand_anew(now)
        self.tell((_title(self.pattern, self.variant), _hint(self.pattern, self.variant)), now)

    def tell(self, lines: tuple[str, ...], now: float) -> None:
        """Words over the picture, for as long as a caption stands."""
        # Words burn in like any still picture: they change between the low and the high place.
        self._high = not self._high
        self._caption = Caption(lines, self._high)
        self.timers["caption over"] = now + self._caption_time


def _title(pattern: Pattern, variant: str) -> str:
    """The title, with the variant where there are several and it fits."""
    full = f"{pattern.title} · {variant}{' %' if variant.isdigit() else ''}"
    return full if len(pattern.variants) > 1 and len(full) <= CAPTION_WIDTH else pattern.title


def _hint(pattern: Pattern, variant: str) -> str:
    """What ``go`` does here, or, where it does nothing, what to look for."""
    if pattern.timed:
        return "go: caution, then the test"
    return "go starts, any key stops" if pattern.moving or pattern.sounding else pattern.look_for(variant)
