"""Stepping through the catalogue: forward, back, variants, families; moving pictures start and stop by ``go``.

Rules: nothing moves, and nothing bright is held, by itself. A still picture asks for no tick once its caption is
gone, unless it may stand only so long on a tube. A moving picture bears no caption while it moves, since its words
would move along, and every key stops it.
"""

from collections.abc import Sequence
from enum import StrEnum
from typing import ClassVar

from appliance.activities.showing import Caption, Showing
from appliance.activities.table import Machine, Move, Table
from appliance.patterns.catalogue import Pattern
from appliance.presses.press import Press


class State(StrEnum):
    """Standing still and silent, or moving or sounding."""

    STANDING = "standing"
    MOVING = "moving"


_EVERYWHERE = {
    "forward": Move(State.STANDING, "next"),
    "back": Move(State.STANDING, "previous"),
    "vary held": Move(State.STANDING, "next_family"),
}


class Stepping(Machine):
    """The place in the catalogue. ``caption_time``: seconds a caption stands."""

    table: ClassVar[Table] = {
        State.STANDING: {
            **_EVERYWHERE,
            "vary": Move(State.STANDING, "vary"),
            "note": Move(State.STANDING, "explain"),
            "go moving": Move(State.MOVING, "begin_moving"),
            "caption over": Move(State.STANDING, "drop_caption"),
            "rest over": Move(State.STANDING, "dim"),
        },
        State.MOVING: {
            **_EVERYWHERE,
            "vary": Move(State.STANDING, "vary"),
            "note": Move(State.STANDING, "explain"),
            "digit": Move(State.STANDING, "explain"),
            "go moving": Move(State.STANDING, "explain"),
        },
    }

    def __init__(self, patterns: Sequence[Pattern], caption_time: float) -> None:
        super().__init__(State.STANDING)
        self._patterns, self._caption_time = tuple(patterns), caption_time
        self._index = self._variant = 0
        self._caption: Caption | None = None
        self._high = False

    @property
    def pattern(self) -> Pattern:
        """The pattern shown."""
        return self._patterns[self._index]

    @property
    def variant(self) -> str:
        """Its variant."""
        return self.pattern.variants[self._variant]

    def meaning(self, press: Press) -> str:
        """As the machine's; ``go`` is told apart by what the pattern does."""
        cue = super().meaning(press)
        if cue != "go":
            return cue
        return (
            "go timed"
            if self.pattern.timed
            else "go moving"
            if self.pattern.moving or self.pattern.sounding
            else "go still"
        )

    def show(self, key: str, variant: str, now: float, *, caption: bool = True) -> None:
        """Go straight to a pattern of the catalogue; an unknown one leads to the first."""
        keys = [pattern.key for pattern in self._patterns]
        self._index = keys.index(key) if key in keys else 0
        variants = self.pattern.variants
        self._variant = variants.index(variant) if variant in variants else 0
        self.state = State.STANDING
        self._arrive(now)
        if not caption:
            self.drop_caption(now)

    def showing(self) -> Showing:
        """The pattern with its caption, if that still stands."""
        going = self.state is State.MOVING
        sound = self.variant if going and self.pattern.sounding else ""
        return Showing(self.pattern.key, self.variant, going and self.pattern.moving, self._caption, sound=sound)

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
        self._arrive(now)

    def begin_moving(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """Drop the caption and every timer: a moving picture goes on until a key."""
        self._caption = None
        self.timers.clear()

    def explain(self, now: float) -> None:
        """The caption again."""
        self._arrive(now)

    def drop_caption(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """No words over the picture."""
        self._caption = None
        self.timers.pop("caption over", None)

    def dim(self, now: float) -> None:
        """The dimmed variant instead of a bright picture that has stood long enough."""
        self._variant = self.pattern.variants.index(self.pattern.dimmed)
        self.tell(("Dimmed to spare the tube", "vary: other levels"), now)

    def _go_to(self, index: int, now: float) -> None:
        self._index, self._variant = index, 0
        self._arrive(now)

    def _arrive(self, now: float) -> None:
        self.timers.clear()
        pattern = self.pattern
        if pattern.rest is not None and self.variant in pattern.bright:
            self.timers["rest over"] = now + pattern.rest
        self.tell(_words(pattern, self.variant), now)

    def tell(self, lines: tuple[str, ...], now: float) -> None:
        """Words over the picture, for as long as a caption stands."""
        # Words burn in like any still picture: they change between the low and the high place.
        self._high = not self._high
        self._caption = Caption(lines, self._high)
        self.timers["caption over"] = now + self._caption_time


def _words(pattern: Pattern, variant: str) -> tuple[str, ...]:
    """Title with the variant where it fits, and what to look for; for a moving pattern its caution alone."""
    if pattern.moving and pattern.caution:
        return pattern.caution
    full = f"{pattern.title} · {variant}{' %' if variant.isdigit() else ''}"
    first = full if len(pattern.variants) > 1 and len(full) <= 28 else pattern.title
    return first, pattern.shows
