"""What all lamps keep, and the GPIO lamps' own troubles."""

from collections.abc import Callable
from itertools import product
from typing import Any

import pytest

from appliance.hardware.gpiod_factory import GpiodFactory
from appliance.hardware.lamps.gpio import NAMES, GpioLamps
from appliance.hardware.lamps.memory import Lit, MemoryLamps
from appliance.hardware.lamps.protocol import Lamps, LampsTrouble
from tests.hardware.fake_gpiod import FakeChip, FakeGpiod
from tests.hardware.mocks import mock_factory

PINS = {"ready": 23, "running": 24, "attention": 25}

Rig = tuple[Lamps, Callable[[], Lit]]


def memory() -> Rig:
    """The double."""
    lamps = MemoryLamps()
    return lamps, lambda: lamps.lit


def on_mock(active: Any) -> Callable[[], Rig]:
    """On gpiozero's mock pins."""

    def make() -> Rig:
        factory = mock_factory()
        lamps = GpioLamps(PINS, active, factory=factory)
        return lamps, lambda: Lit(*(bool(factory.pin(PINS[n]).state) is (active == "high") for n in NAMES))

    return make


def on_chip(active: Any) -> Callable[[], Rig]:
    """On our factory."""

    def make() -> Rig:
        chip = FakeChip()
        factory = GpiodFactory("c", False, gpiod=FakeGpiod({"c": chip}))
        lamps = GpioLamps(PINS, active, factory=factory)
        return lamps, lambda: Lit(*(bool(chip.level(PINS[n])) is (active == "high") for n in NAMES))

    return make


RIGS = {
    "memory": memory,
    "mock, active high": on_mock("high"),
    "mock, active low": on_mock("low"),
    "gpiod, active high": on_chip("high"),
    "gpiod, active low": on_chip("low"),
}


@pytest.mark.parametrize("make", RIGS.values(), ids=RIGS)
def test_contract(make: Callable[[], Rig]) -> None:
    """All dark at first; each of the eight combinations is shown, after each other one."""
    lamps, lit = make()
    assert lit() == Lit()
    for before, after in product(product((False, True), repeat=3), repeat=2):
        lamps.set(*before)
        lamps.set(*after)
        assert lit() == after
    lamps.close()
    lamps.close()


@pytest.mark.parametrize("active", ["high", "low"])
def test_close_leaves_them_dark(active: Any) -> None:
    """The last level written before the lines are let go is the dark one."""
    chip = FakeChip()
    factory = GpiodFactory("c", False, gpiod=FakeGpiod({"c": chip}))
    lamps = GpioLamps(PINS, active, factory=factory)
    lamps.set(True, True, True)
    requests = dict(chip.requests)
    lamps.close()
    assert chip.requests == {}
    dark = 0 if active == "high" else 1
    assert [int(r.settings.output_value.value == 1) for r in requests.values()] == [dark] * 3


def test_only_changes_are_written() -> None:
    """Setting what is already so makes no call to the kernel, and one lamp's change makes one."""
    chip = FakeChip()
    lamps = GpioLamps(PINS, factory=GpiodFactory("c", False, gpiod=FakeGpiod({"c": chip})))
    lamps.set(True, False, False)
    calls = chip.calls
    lamps.set(True, False, False)
    assert chip.calls == calls
    lamps.set(True, True, False)
    assert chip.calls == calls + 1


def test_memory_keeps_each_change() -> None:
    """The double's list has every change once."""
    lamps = MemoryLamps()
    for lit in (True, True, False):
        lamps.set(lit, False, False)
    assert lamps.changes == [Lit(), Lit(ready=True), Lit()]


def test_box_with_one_lamp() -> None:
    """Lamps that are not there are left out, and the one that is works."""
    factory = mock_factory()
    lamps = GpioLamps({"attention": 25}, factory=factory)
    lamps.set(True, True, True)
    assert factory.pin(25).state


def test_pin_that_cannot_be_had_is_named() -> None:
    """The trouble names lamp and pin."""
    with pytest.raises(LampsTrouble, match=r"lamp running on GPIO23: .*in use"):
        GpioLamps({"ready": 23, "running": 23}, factory=mock_factory())


def test_vanished_chip_stops_nothing(caplog: pytest.LogCaptureFixture) -> None:
    """Lamps lost in use are logged once; setting and closing them goes on without a word."""
    chip = FakeChip()
    lamps = GpioLamps(PINS, factory=GpiodFactory("c", False, gpiod=FakeGpiod({"c": chip})))
    chip.vanish()
    for lit in (True, False, True):
        lamps.set(lit, lit, lit)
    lamps.close()
    assert caplog.text.count("the lamps are lost") == 1
