"""Single keys on GPIO beyond the contract: levels, times, threads, troubles."""

import select
import time

import pytest

from appliance.hardware.gpiod_factory import GpiodFactory
from appliance.hardware.keys.gpio import GpioKeys
from appliance.hardware.keys.lines import Active, Pull
from appliance.hardware.keys.protocol import KeysTrouble
from appliance.presses.edges import Edge
from tests.hardware.fake_gpiod import Bias, FakeChip, FakeGpiod
from tests.hardware.mocks import mock_factory


def factory_on(chip: FakeChip, threaded: bool = False) -> GpiodFactory:
    """Our factory on a chip in memory."""
    return GpiodFactory("c", threaded, gpiod=FakeGpiod({"c": chip}))


@pytest.mark.parametrize(
    ("pull", "active", "bias", "pressed"),
    [
        ("up", "low", Bias.PULL_UP, 0),
        ("down", "high", Bias.PULL_DOWN, 1),
        ("none", "low", Bias.DISABLED, 0),
        ("none", "high", Bias.DISABLED, 1),
        ("up", "high", Bias.PULL_UP, 1),  # a contact that opens when pressed
    ],
)
def test_levels_and_pulls(pull: Pull, active: Active, bias: object, pressed: int) -> None:
    """Every wiring: the pull reaches the kernel, and down is the level said to be active."""
    chip = FakeChip()
    chip.drive(17, 1 - pressed)
    factory = factory_on(chip)
    keys = GpioKeys({"go": 17}, pull, active, factory=factory, clock=lambda: 5.0)
    assert chip.requests[17].settings.bias is bias
    assert keys.read(5.0) == []
    chip.drive(17, pressed)
    chip.drive(17, 1 - pressed)
    assert keys.read(5.0) == [Edge("go", True, 5.0), Edge("go", False, 5.0)]
    keys.close()
    assert chip.requests == {}
    factory.close()


def test_edges_carry_the_kernels_time() -> None:
    """While the loop was busy a press came and went: both edges bear the times they happened, not when they were read.

    Otherwise a short press during a slow drawing would count as a held one."""
    chip = FakeChip()
    factory = factory_on(chip)
    keys = GpioKeys({"go": 17}, factory=factory)
    before = time.monotonic()
    chip.drive(17, 0)
    between = time.monotonic()
    chip.drive(17, 1)
    after = time.monotonic()
    down, up = keys.read(after + 10)
    assert before <= down.at <= between <= up.at <= after
    keys.close()
    factory.close()


def test_threaded_factory_wakes_the_loop() -> None:
    """With a factory that calls back from its own thread, edges still come out of the caller's read."""
    chip = FakeChip()
    factory = factory_on(chip, threaded=True)
    keys = GpioKeys({"go": 17}, factory=factory)
    for down in (True, False):
        chip.drive(17, 0 if down else 1)
        assert select.select([keys.fileno()], [], [], 10)[0]
        assert [(e.key, e.down) for e in keys.read(0.0)] == [("go", down)]
    assert not select.select([keys.fileno()], [], [], 0)[0]
    keys.close()
    factory.close()


def test_sources_that_share_a_factory_all_wake() -> None:
    """When one source's read makes the factory tell the other's edges, the other becomes readable too."""
    chip = FakeChip()
    factory = factory_on(chip)
    one, other = GpioKeys({"go": 17}, factory=factory), GpioKeys({"note": 27}, factory=factory)
    chip.drive(27, 0)
    assert one.read(0.0) == []
    assert select.select([other.fileno()], [], [], 0)[0]
    assert [(e.key, e.down) for e in other.read(0.0)] == [("note", True)]
    assert not select.select([one.fileno(), other.fileno()], [], [], 0)[0]
    for source in (one, other, factory):
        source.close()


@pytest.mark.parametrize("factory", [mock_factory(), factory_on(FakeChip())], ids=["mock", "gpiod"])
def test_pin_that_cannot_be_had_is_named(factory: object) -> None:
    """The trouble names key and pin, and the pins already opened are given back."""
    with pytest.raises(KeysTrouble, match=r"key note on GPIO99: "):
        GpioKeys({"go": 17, "note": 99}, factory=factory)
    GpioKeys({"go": 17}, factory=factory).close()


def test_pin_used_twice_is_trouble() -> None:
    """Two keys on one pin are told apart by nobody."""
    with pytest.raises(KeysTrouble, match=r"key note on GPIO17: .*in use"):
        GpioKeys({"go": 17, "note": 17}, factory=mock_factory())


def test_stuck_key_is_told_once() -> None:
    """A key stuck at the start is one edge down, and no wake-up after it."""
    chip = FakeChip()
    chip.drive(17, 0)
    factory = factory_on(chip)
    keys = GpioKeys({"go": 17}, factory=factory, clock=lambda: 1.0)
    assert keys.read(1.0) == [Edge("go", True, 1.0)]
    assert not select.select([keys.fileno()], [], [], 0)[0]
    assert keys.due() is None
    keys.close()
    factory.close()


def test_full_pipe_loses_no_edge() -> None:
    """A contact that chatters while nobody reads fills the wake-up pipe, not the box: every edge comes out."""
    factory = mock_factory()
    keys = GpioKeys({"go": 17}, factory=factory, clock=lambda: 0.0)
    pin = factory.pin(17)
    for _ in range(35000):
        pin.drive_low()
        pin.drive_high()
    assert len(keys.read(0.0)) == 70000
    assert not select.select([keys.fileno()], [], [], 0)[0]
    keys.close()
