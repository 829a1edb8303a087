"""A look at a set in a soak: a few things in turn, each answered by ``go`` when it is as before.

The margins are read off the lettered scales, in percent; the rest is a choice of a few words. What differs from the
look before is told in words of its own.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from appliance.activities.showing import Caption


@dataclass(frozen=True)
class Item:
    """One thing to look at, the picture for it, and what may be answered: nothing listed means percent.

    ``high``: its words go to the top, off what is read. ``bright``: its picture may not stand long.
    """

    key: str
    pattern: str
    variant: str
    answers: tuple[str, ...] = ()
    high: bool = False
    bright: bool = False


SIZES = ("as before", "larger", "smaller", "uneven")
ITEMS = (
    Item("left margin", "scales", "left"),
    Item("right margin", "scales", "right", high=True),
    Item("top margin", "scales", "top"),
    Item("bottom margin", "scales", "bottom", high=True),
    Item("size on black", "crosshatch", "white", SIZES),
    Item("size on white", "crosshatch", "inverse", SIZES, high=True, bright=True),
    Item("tint", "grey", "50", ("as before", "redder", "greener", "bluer", "blotched")),
    Item("focus", "focus", "white", ("as before", "softer", "sharper"), high=True),
    Item("fringes", "crosshatch", "white", ("as before", "wider", "narrower")),
    Item("smell", "grey", "10", ("none", "dust", "hot", "burning"), high=True),
    Item("sound", "grey", "10", ("as before", "hum", "whistle", "crackle")),
)
"""What is looked at, in this order."""

WIDEST, USUAL = 20, 5
"""Percent: the last mark of the scales, and what is offered at the first look."""

LEAD = 10
"""Seconds before its minute that a look is offered: so one at the end of a turn falls into its last picture."""


def offered_at(minute: int) -> int:
    """The soak's second at which the look of a minute is offered."""
    return minute * 60 - LEAD


@dataclass
class Look:
    """One look at ``minute`` of the soak; ``before`` holds the last percents known of each margin."""

    minute: int
    before: Mapping[str, int]
    number: int = 0
    value: int = 0
    seen: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._arrive()

    @property
    def item(self) -> Item:
        """What is looked at now."""
        return ITEMS[self.number]

    @property
    def last(self) -> bool:
        """True at the last item."""
        return self.number == len(ITEMS) - 1

    @property
    def caption(self) -> Caption:
        """The item with the answer that ``go`` would take."""
        answer = self.item.answers[self.value] if self.item.answers else f"{self.value} %"
        title = self.item.key.capitalize()
        return Caption((f"{title}: {answer}", "go: keep · vary: not seen"), self.item.high)

    def step(self, by: int) -> None:
        """Another answer: round and round in words, from end to end in percent."""
        if self.item.answers:
            self.value = (self.value + by) % len(self.item.answers)
        else:
            self.value = min(max(self.value + by, 0), WIDEST)

    def keep(self) -> None:
        """Take the answer."""
        self.seen[self.item.key] = self.value

    def go_on(self) -> None:
        """The next item; stays at the last."""
        if not self.last:
            self.number += 1
            self._arrive()

    def percents(self) -> dict[str, int]:
        """The margins known after this look."""
        margins = {item.key: self.seen[item.key] for item in ITEMS if not item.answers and item.key in self.seen}
        return {**self.before, **margins}

    def words(self) -> list[str]:
        """What the log says: each difference, and last how much was looked at. At most one more than the items."""
        changes = [change for item in ITEMS if (change := self._change(item))]
        left = [item.key for item in ITEMS if item.key not in self.seen]
        done = f"{len(self.seen)} of {len(ITEMS)} looked at, {len(changes)} different"
        return [*changes, done + (f"; not seen: {', '.join(left)}" if self.seen and left else "")]

    def _change(self, item: Item) -> str:
        now = self.seen.get(item.key)
        if now is None:
            return ""
        if item.answers:
            return f"{item.key} {item.answers[now]}" if now else ""
        if item.key not in self.before:
            return f"{item.key} {now} %, first reading"
        return f"{item.key} {self.before[item.key]} → {now} %" if now != self.before[item.key] else ""

    def _arrive(self) -> None:
        self.value = 0 if self.item.answers else self.before.get(self.item.key, USUAL)
