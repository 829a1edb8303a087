"""Key lines, lamps and the pad reach a program in the guest as hardware's would."""

import json

import pytest

from tests.machine.machine import Machine

pytestmark = pytest.mark.machine

WATCH_LINE = """
import glob, json, gpiod
from gpiod.line import Bias, Edge
wanted = gpiod.LineSettings(edge_detection=Edge.BOTH, bias=Bias.PULL_UP)
with gpiod.request_lines(glob.glob("/dev/gpiochip*")[0], config={13: wanted}) as lines:
    print("ready", flush=True)
    events = []
    while len(events) < 4:
        events += [[e.event_type.name, e.timestamp_ns / 1e9] for e in lines.read_edge_events()]
    print(json.dumps(events))
"""

DRIVE_LINE = """
import glob, signal, gpiod
from gpiod.line import Direction, Value
wanted = gpiod.LineSettings(direction=Direction.OUTPUT, output_value=Value.ACTIVE)
with gpiod.request_lines(glob.glob("/dev/gpiochip*")[0], config={27: wanted}):
    signal.pause()
"""

WATCH_PAD = """
import json, evdev
pad = next(d for d in map(evdev.InputDevice, evdev.list_devices()) if d.name == "number pad")
pad.grab()
print("ready", flush=True)
events = []
try:
    for event in pad.read_loop():
        if event.type == evdev.ecodes.EV_KEY:
            events.append([evdev.ecodes.KEY[event.code], event.value])
except OSError:
    events.append(["gone", 0])
print(json.dumps(events))
"""


def _start(machine: Machine, script: str, unit: str) -> None:
    machine.write(f"/run/{unit}.py", script)
    machine.run(f"rm -f /run/{unit}.out; systemd-run --collect --unit={unit} "
                f"-p StandardOutput=file:/run/{unit}.out python3 /run/{unit}.py")  # fmt: skip


def _said(machine: Machine, unit: str) -> list[str]:
    return machine.run(f"cat /run/{unit}.out").out.splitlines()


def test_a_press_is_seen_as_edges(bare: Machine) -> None:
    """Two presses played in the guest give four edges, each stamped between the player's two stamps."""
    _start(bare, WATCH_LINE, "watch-line")
    bare.wait_for("the watcher", lambda: "ready" in _said(bare, "watch-line"), 60)
    stamps = bare.play([(0.0, "down", 13), (0.1, "up", 13), (0.15, "down", 13), (0.3, "up", 13)])
    events = json.loads(bare.wait_for("four edges", lambda: _said(bare, "watch-line")[1:])[0])
    assert [kind for kind, _ in events] == ["FALLING_EDGE", "RISING_EDGE"] * 2
    assert all(before <= at <= after for (before, after), (_, at) in zip(stamps, events, strict=True))


def test_a_lamp_is_read(bare: Machine) -> None:
    """A line driven high reads lit, and dark again when its owner is gone."""
    assert not bare.lamp(27)
    _start(bare, DRIVE_LINE, "drive-line")
    bare.wait_for("the lamp", lambda: bare.lamp(27), 60)
    bare.run("systemctl kill -s KILL drive-line")
    bare.wait_for("the lamp to go out", lambda: not bare.lamp(27))


def test_a_pad_is_seen_and_pulled_out(bare: Machine) -> None:
    """Keys typed on the pad reach a program that grabbed it, which is told when the pad goes."""
    bare.ask("plug")
    bare.run("udevadm settle")
    _start(bare, WATCH_PAD, "watch-pad")
    bare.wait_for("the watcher", lambda: "ready" in _said(bare, "watch-pad"), 60)
    bare.play([(0.0, "down", "KP7"), (0.05, "up", "KP7"), (0.1, "down", "KPENTER")])
    bare.ask("unplug")
    events = json.loads(bare.wait_for("the end", lambda: _said(bare, "watch-pad")[1:])[0])
    assert events == [["KEY_KP7", 1], ["KEY_KP7", 0], ["KEY_KPENTER", 1], ["KEY_KPENTER", 0], ["gone", 0]]


def test_the_chip_is_pulled_out_and_comes_back(bare: Machine) -> None:
    """Without the chip its device is gone; afterwards it is there for the group gpio again."""
    bare.ask("chip", there=False)
    bare.wait_for("the device to go", lambda: bare.run("ls /dev/gpiochip*").code != 0)
    bare.ask("chip", there=True)
    bare.wait_for("the device", lambda: bare.run("stat -c %G:%a /dev/gpiochip*").out == "gpio:660\n")
