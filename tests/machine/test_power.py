"""The machine comes up whole, after a cut of its power too."""

import pytest

from tests.machine.machine import Machine

pytestmark = pytest.mark.machine


def test_boots_with_everything_up(machine: Machine) -> None:
    """No unit failed and the kernel complained of nothing in our modules, in a boot that no other test has spoilt."""
    machine.cut_power()
    machine.boot()
    state = machine.run("systemctl is-system-running --wait", timeout=180).out.strip()
    assert state == "running", machine.run("systemctl --failed --no-pager; journalctl -b -p err --no-pager").out
    kernel = machine.run("dmesg").out
    assert [line for line in kernel.splitlines() if "WARNING" in line or "BUG:" in line] == []


def test_power_cut_and_boot_again(machine: Machine) -> None:
    """What was synced before the cut is there after it, and the machine is up again with its card and lines."""
    machine.run("echo kept > /root/kept && sync /root/kept")
    before = machine.run("cat /proc/sys/kernel/random/boot_id").out
    machine.cut_power()
    assert not machine.running
    machine.boot()
    assert machine.run("cat /root/kept").out == "kept\n"
    assert machine.run("cat /proc/sys/kernel/random/boot_id").out != before
    there = "ls /dev/dri/card* /dev/gpiochip*"
    machine.wait_for("card and lines", lambda: machine.run(there).code == 0, 120)


def test_power_off_in_good_order(machine: Machine) -> None:
    """A shutdown ends the machine by itself."""
    machine.poweroff(timeout=120)
    assert not machine.running
