"""From power to picture, and what stays over a cut of the power."""

import pytest

from tests.machine.box.handle import QUICK, SETTINGS, UNIT, Box
from tests.machine.machine import Machine

pytestmark = pytest.mark.machine

UNITS = ["basic.target", UNIT]


def _first_picture(machine: Machine) -> float:
    """Seconds of the guest's clock, which begins with its kernel, at the first field that showed a picture.

    The log holds 4096 fields: ask within a minute of the start.
    """
    fields = machine.fields()
    assert fields[0].number <= 1, "the log has run over its first field"
    return next(field.stamp for field in fields if field.fb)


def test_cold_boot_to_first_picture(box: Box) -> None:
    """A disk as never booted comes up to the crosshatch, drawn anew, a while after the base system at the latest."""
    machine = box.machine
    machine.cut_power()
    machine.reset_disk()
    machine.boot()
    box.wait_ready(120)
    first = _first_picture(machine)
    box.wait_picture("crosshatch:white")
    times = machine.ask("boot_times", units=UNITS)
    print(f"first boot: first flip {first:.2f} s after the kernel's start, basic.target {times['basic.target']:.2f} s")
    # A first start also makes users, caches and the machine's number, and imports what draws: no goal is set for it.
    assert first < 2 * times["basic.target"]
    assert box.mode() == ((13500, 720, 734, 798, 858, 240, 243, 246, 262, 0), "NTSC")


def test_power_cut_and_early_picture(box: Box) -> None:
    """After a cut the box is in the format, system and pattern it was left in, and up before the base system."""
    machine = box.machine
    box.start(QUICK)
    box.press("forward", "forward", "vary")
    box.hold("go", "vary", seconds=2.2)
    box.wait("another format", lambda: box.mode()[0][9] == 1)
    box.press("go")
    box.wait("480i to be kept", lambda: box.remembered()[0] == "480i")
    left = box.remembered()
    assert left[1] == "NTSC"
    assert left[2] not in ("", "crosshatch")
    machine.run("sync " + SETTINGS)
    machine.cut_power()
    machine.boot()
    box.wait_ready(120)
    first = _first_picture(machine)
    basic = machine.ask("boot_times", units=UNITS)["basic.target"]
    print(f"second boot: first flip {first:.2f} s after the kernel's start, basic.target {basic:.2f} s")
    box.wait_picture(f"{left[2]}:{left[3]}", "480i")
    assert box.remembered() == left
    assert first < basic


def test_no_login_prompt_over_the_picture(box: Box) -> None:
    """With the whole system up no prompt runs on the first console, and the picture stands as it was."""
    machine = box.machine
    box.wait_ready()
    box.wait("the end of start-up", lambda: machine.ask("boot_times", units=[])["finished"], 180)
    before = machine.scanout()
    began = box.now()
    box.wait("three seconds", lambda: box.now() > began + 3)
    prompt = machine.ask("unit", unit="getty@tty1.service", names=["ActiveState", "ConditionResult"])
    assert prompt == {"ActiveState": "inactive", "ConditionResult": "no"}
    assert box.machine.scanout().rows == before.rows
    assert {field.fb for field in machine.fields() if field.stamp > began} == {before.fb}
