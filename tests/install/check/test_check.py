"""What a check says of a machine in order, and of each thing that can be out of order."""

from pathlib import Path
from typing import Any

import pytest

from appliance.install.check import State
from appliance.settings import load
from tests.install.check.machines import Device, card, checked, evdev, gpiod, pi, sources


def test_all_is_well(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A Pi with everything in place: every line is fine, and none asks for anything."""
    found = checked(sources(pi(tmp_path)))
    assert {topic for topic, line in found.items() if line.state is not State.FINE or line.remedy} == set()
    assert found["board"].seen == "Raspberry Pi Zero 2 W Rev 1.0"
    assert found["system"].seen == "Debian GNU/Linux 13 (trixie)"
    assert found["composite"].seen == "Composite-1 on /dev/dri/card1 (vc4), unknown, offers 720x480i, 720x576i"
    assert found["pins"].seen == "all 8 free"
    assert found["pads"].seen == "A number pad (event0)"
    assert found["heat"].seen == "41 °C"


def test_every_device_is_closed_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Devices that were opened to be looked at are let go; one that may not be opened is passed over."""
    Device.closed = 0
    checked(sources(pi(tmp_path)))
    assert Device.closed == 2


@pytest.mark.parametrize(
    ("given", "topic", "state", "says"),
    [
        ({"cards": list}, "composite", State.WRONG, "no composite connector; no card with a connector"),
        ({"cards": lambda: [card(connector="TV")]}, "composite", State.WRONG, "no composite connector; there is: TV-1"),
        ({"cards": lambda: [card(held=True)]}, "card", State.WRONG, "/dev/dri/card1 is held by another program"),
        ({"cards": lambda: [card(tv_modes=[])]}, "systems", State.WRONG, "the connector has no TV mode"),
        ({"cards": lambda: [card(tv_modes=["PAL", "Mono"])]}, "systems", State.LOOK, "NTSC, NTSC-J not among"),
        ({"cards": lambda: [{"path": "/dev/dri/card0", "trouble": "no right"}]}, "card", State.LOOK, "no right"),
        ({"gpiod": None}, "gpio", State.WRONG, "the Python package gpiod is not installed"),
        ({"gpiod": object()}, "gpio", State.WRONG, "gpiod is older than version 2"),
        ({"gpiod": gpiod("another chip")}, "gpio", State.WRONG, "no GPIO chip labelled pinctrl-rp1"),
        ({"gpiod": gpiod(taken={17: "led"})}, "pins", State.WRONG, "taken: GPIO 17 (ready) by led"),
        ({"evdev": None}, "pads", State.LOOK, "the Python package evdev is not installed"),
    ],
)  # fmt: skip
def test_out_of_order(
    tmp_path: Path, given: dict[str, Any], topic: str, state: State, says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each thing that is not as it should be is told in its own line, with what to do, and no other is blamed."""
    found = checked(sources(pi(tmp_path), **given))
    assert (found[topic].state, found[topic].seen[: len(says)]) == (state, says)
    assert found[topic].remedy
    blamed = {line.topic for line in found.values() if line.state is State.WRONG}
    assert blamed <= {topic, "composite"}


def test_boot_files_without_composite(tmp_path: Path) -> None:
    """A Pi whose boot files were not touched is told which command does it."""
    found = checked(sources(pi(tmp_path, installed=False)))
    assert found["boot files"].state is State.WRONG
    assert found["boot files"].seen == "config.txt and cmdline.txt without what this board needs"
    assert "sudo fieldmouse install" in found["boot files"].remedy


def test_an_overlay_that_changed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """When the overlays' README on the card does not know a parameter we write, that is told."""
    root = pi(tmp_path)
    (root / "boot/firmware/overlays").mkdir()
    readme = root / "boot/firmware/overlays/README"
    readme.write_text("Name:   vc4-kms-v3d\nInfo:   A display\nLoad:   dtoverlay=vc4-kms-v3d\nParams: composite   On\n")
    assert checked(sources(root))["boot files"].seen == "this kernel's vc4-kms-v3d does not list nohdmi"
    readme.write_text(f"{readme.read_text()}        nohdmi      Off\n")
    assert checked(sources(root))["boot files"].state is State.FINE


def test_running_box(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """While the box runs, its card and its lines are held by itself, and that is fine."""
    root = pi(tmp_path)
    (root / "run/fieldmouse").mkdir(parents=True)
    pins = dict.fromkeys((17, 27, 22, 5, 6, 13, 19, 26), "fieldmouse")
    found = checked(sources(root, cards=lambda: [card(held=True)], gpiod=gpiod(taken=pins)))
    assert (found["card"].state, found["pins"].state) == (State.FINE, State.FINE)


def test_not_a_pi(tmp_path: Path) -> None:
    """Any other machine is told so, and how to try the box all the same."""
    found = checked(sources(tmp_path, cards=list, gpiod=None, evdev=None))
    assert found["board"].state is State.LOOK
    assert "fieldmouse window" in found["board"].remedy
    assert "boot files" not in found


@pytest.mark.parametrize(("kind", "state"), [("ext4", State.FINE), ("tmpfs", State.LOOK), ("overlay", State.LOOK)])
def test_keeping(tmp_path: Path, kind: str, state: State, capsys: pytest.CaptureFixture[str]) -> None:
    """A file system that is gone with the power is told; the last mount over the folder counts."""
    root = pi(tmp_path)
    (root / "proc/mounts").write_text(f"/dev/root / ext4 rw 0 0\nx /var/lib ext4 rw 0 0\nx /var/lib {kind} rw 0 0\n")
    assert checked(sources(root))["keeping"].state is state


def test_voltage_and_heat(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A weak supply is wrong, a hot board is worth a look."""
    root = pi(tmp_path)
    (root / "sys/class/hwmon/hwmon0/in0_lcrit_alarm").write_text("1\n")
    (root / "sys/class/thermal/thermal_zone0/temp").write_text("81000\n")
    found = checked(sources(root))
    assert (found["voltage"].state, found["heat"].state) == (State.WRONG, State.LOOK)
    assert "speed" not in found
    node = root / "sys/devices/platform/soc/soc:firmware"
    node.mkdir(parents=True)
    (node / "get_throttled").write_text("5\n")  # bits 0 and 2: undervoltage, throttled
    assert checked(sources(root))["speed"].state is State.LOOK


def test_a_key_the_kernel_does_not_know(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A newer kernel's name in the map, which this machine's has no key for, is wrong: that key would do nothing."""
    own = tmp_path / "own.yaml"
    own.write_text("keys: {devices: {map: {KEY_DO_NOT_DISTURB: go}}}\n")
    found = checked(sources(pi(tmp_path), evdev=evdev()), load(own))
    assert found["pads"].seen == "the kernel has no key KEY_DO_NOT_DISTURB"
