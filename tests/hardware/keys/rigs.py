"""Every source of keys with fingers on it, all with one face, for the contract."""

import select
from collections.abc import Callable
from pathlib import Path

from gpiozero.pins.mock import MockPin

from appliance.hardware.gpiod_factory import GpiodFactory
from appliance.hardware.keys.gpio import GpioKeys
from appliance.hardware.keys.input_devices import InputKeys
from appliance.hardware.keys.memory import MemoryKeys
from appliance.hardware.keys.pad import PadKeys
from appliance.hardware.keys.protocol import Keys
from appliance.presses.edges import Edge
from appliance.settings import load
from tests.hardware.fake_gpiod import FakeChip, FakeGpiod
from tests.hardware.keys.fake_evdev import FakeEvdev
from tests.hardware.keys.pads import COLUMNS, LAYOUT, ROWS, PadChip, PadPin, Wires, settle
from tests.hardware.mocks import mock_factory

PINS = {"go": 17, "note": 27, "vary": 22}


class Rig:
    """A source, its fingers and its time. ``opens`` makes the source, so that keys may be down before."""

    def __init__(self, opens: Callable[[Callable[[], float]], Keys], move: Callable[[str, bool, float], None]) -> None:
        self.now = 100.0
        self._opens, self._move = opens, move
        self.pull: Callable[[], None] | None = None
        self.done: Callable[[], None] = lambda: None
        self.keys: Keys

    def open(self) -> Keys:
        """Open the source."""
        self.keys = self._opens(lambda: self.now)
        return self.keys

    def move(self, key: str, down: bool) -> None:
        """A finger."""
        self._move(key, down, self.now)

    def awake(self) -> bool:
        """Whether a loop would read the source now."""
        fd, due = self.keys.fileno(), self.keys.due()
        return (due is not None and due <= self.now) or (fd is not None and bool(select.select([fd], [], [], 0)[0]))

    def hear(self, seconds: float = 0.2) -> list[tuple[str, bool]]:
        """What the source tells within some time, read only when it asks to be."""
        edges: list[Edge] = []
        end = self.now + seconds
        while True:
            if self.awake():
                edges += self.keys.read(self.now)
            elif (due := self.keys.due()) is not None and due <= end:
                self.now = due
            else:
                break
        self.now = end
        assert all(end - seconds - 0.5 <= edge.at <= end + 1e-9 for edge in edges)
        assert [edge.at for edge in edges] == sorted(edge.at for edge in edges)
        return [(edge.key, edge.down) for edge in edges]


def memory(_: Path) -> Rig:
    """The double."""
    keys = MemoryKeys()
    rig = Rig(lambda _: keys, lambda key, down, at: keys.feed(Edge(key, down, at)))
    rig.pull = lambda: keys.unplug(rig.now)
    return rig


class SwitchPin(MockPin):  # type: ignore[misc]  # gpiozero has no types
    """A mock pin with a key to ground: as long as it is down no pull-up lifts it."""

    grounded = False

    def drive_high(self) -> None:
        """Pulled up, by gpiozero or by letting go."""
        super().drive_low() if self.grounded else super().drive_high()


def mock(_: Path) -> Rig:
    """Single keys on gpiozero's mock pins."""
    factory = mock_factory(pin_class=SwitchPin)

    def move(key: str, down: bool, _at: float) -> None:
        pin = factory.pin(PINS[key])
        pin.grounded = down
        (pin.drive_low if down else pin.drive_high)()

    return Rig(lambda clock: GpioKeys(PINS, factory=factory, clock=clock), move)


def chip(_: Path) -> Rig:
    """Single keys on our factory."""
    lines = FakeChip()
    factory = GpiodFactory("c", False, gpiod=FakeGpiod({"c": lines}))
    rig = Rig(
        lambda clock: GpioKeys(PINS, factory=factory, clock=clock),
        lambda key, down, _: lines.drive(PINS[key], 0 if down else None),
    )
    rig.pull, rig.done = lines.vanish, factory.close
    return rig


def pad_on_mock(_: Path) -> Rig:
    """A pad on mock pins."""
    factory = mock_factory(pin_class=PadPin)
    PadPin.wires = Wires()

    def move(key: str, down: bool, _at: float) -> None:
        (PadPin.wires.down.add if down else PadPin.wires.down.discard)(key)
        settle(factory)

    return Rig(lambda clock: PadKeys(ROWS, COLUMNS, LAYOUT, factory=factory, clock=clock), move)


def pad_on_chip(_: Path) -> Rig:
    """A pad on our factory."""
    lines = PadChip()
    factory = GpiodFactory("c", False, gpiod=FakeGpiod({"c": lines}))
    rig = Rig(
        lambda clock: PadKeys(ROWS, COLUMNS, LAYOUT, factory=factory, clock=clock),
        lambda key, down, _: lines.move(key, down),
    )

    def done() -> None:
        factory.close()
        assert lines.shorts == 0

    rig.pull, rig.done = lines.vanish, done
    return rig


def input_device(folder: Path) -> Rig:
    """A number pad."""
    fake = FakeEvdev()
    names = {"go": "KEY_KPENTER", "note": "KEY_KPSLASH", "vary": "KEY_KPASTERISK"}
    device = fake.plug(folder / "event0", *names.values())
    return Rig(
        lambda clock: InputKeys(load().keys.devices.keys, folder=folder, evdev=fake, clock=clock),
        lambda key, down, _: device.move(names[key], int(down)),
    )


RIGS = {
    "memory": memory,
    "mock pins": mock,
    "gpiod": chip,
    "pad on mock pins": pad_on_mock,
    "pad on gpiod": pad_on_chip,
    "input device": input_device,
}
