"""A pad's wires, for pins in memory: three keys make a ghost, and two rows driven apart make a short."""

from typing import Any

from gpiozero.pins.mock import MockPin

from tests.hardware.fake_gpiod import Bias, Direction, FakeChip, Value

ROWS, COLUMNS = (5, 6, 13), (16, 20, 21)
LAYOUT = (("1", "2", "3"), ("forward", "go", "vary"), ("back", "", "note"))
PLACES = {key: (ROWS[r], COLUMNS[c]) for r, row in enumerate(LAYOUT) for c, key in enumerate(row) if key}


class Wires:
    """Which wires are joined through keys that are down."""

    def __init__(self) -> None:
        self.down: set[str] = set()

    def joined(self, wire: int) -> set[int]:
        """Every wire joined to ``wire``, itself included."""
        seen, todo = {wire}, [wire]
        while todo:
            here = todo.pop()
            near = {w for key in self.down if here in PLACES[key] for w in PLACES[key]} - seen
            seen |= near
            todo += near
        return seen


class PadChip(FakeChip):
    """A chip with a pad at its lines. ``shorts`` counts outputs found driven against each other."""

    def __init__(self) -> None:
        super().__init__()
        self.wires = Wires()
        self.shorts = 0
        self._last: dict[int, int] = {}

    def move(self, key: str, down: bool) -> None:
        """A finger."""
        (self.wires.down.add if down else self.wires.down.discard)(key)
        self.notice(0, 0)

    def level(self, offset: int) -> int:
        """What drives the joined wires, or pulls them up."""
        joined = self.wires.joined(offset)
        asked = [self.requests[wire].settings for wire in joined if wire in self.requests]
        outputs = {s.output_value is Value.ACTIVE for s in asked if s.direction is Direction.OUTPUT}
        outputs |= {bool(self.driven[wire]) for wire in joined if wire in self.driven}
        self.shorts += len(outputs) > 1
        return int(min(outputs) if outputs else any(s.bias is Bias.PULL_UP for s in asked))

    def notice(self, offset: int, before: int) -> None:  # noqa: ARG002 - one wire moves others; look at all of them
        """Queue the edges of all wires that moved."""
        for wire, request in list(self.requests.items()):
            level = self.level(wire)
            if self._last.get(wire, level) != level:
                request.queue(level)
            self._last[wire] = level


class PadPin(MockPin):  # type: ignore[misc]  # gpiozero has no types
    """A mock pin that is one wire of a pad; active low, pulled up."""

    wires: Wires

    def _set_function(self, value: str) -> None:
        super()._set_function(value)
        settle(self.factory)

    def _set_state(self, value: Any) -> None:
        super()._set_state(value)
        settle(self.factory)


def settle(factory: Any) -> None:
    """Bring the columns to the level of the rows they are joined to; the wire is low if any of those is driven low."""
    for column in COLUMNS:
        pin = factory.pins.get(factory_key(factory, column))
        if pin is not None and pin.function == "input":
            joined = [factory.pins.get(factory_key(factory, row)) for row in PadPin.wires.joined(column) if row in ROWS]
            low = any(row is not None and row.function == "output" and not row.state for row in joined)
            (pin.drive_low if low else pin.drive_high)()


def factory_key(factory: Any, number: int) -> Any:
    """How this version of gpiozero files its pins: by number (1.6) or by what describes them (2)."""
    return next((key for key, pin in factory.pins.items() if pin._number == number), None)
