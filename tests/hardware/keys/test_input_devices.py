"""Kernel input devices beyond the contract: which are taken, hot-plugging, lost events, several at once."""

import os
import select
import subprocess
import sys
from pathlib import Path

import evdev
import pytest

from appliance.errors import Refused
from appliance.hardware.keys.folder_watch import FolderWatch
from appliance.hardware.keys.input_devices import InputKeys
from appliance.presses.edges import KEYS
from appliance.settings import load
from tests.hardware.keys.fake_evdev import FakeEvdev

SHIPPED = load().keys.devices.keys


def told(keys: InputKeys) -> list[tuple[str, bool]]:
    """What one read tells."""
    return [(edge.key, edge.down) for edge in keys.read(5.0)]


def awake(keys: InputKeys) -> bool:
    """Whether a loop would wake."""
    fd = keys.fileno()
    assert fd is not None
    return bool(select.select([fd], [], [], 0)[0])


def test_default_map_lies_as_the_zones_do() -> None:
    """On a number pad the digits go by position: the top row 7 8 9 is zones 1 2 3, the bottom row 7 8 9.

    The pad's own layout: USB HID Usage Tables, keypad usages, as every number pad has it."""
    rows = [[SHIPPED[f"KEY_KP{cap}"] for cap in row] for row in ("789", "456", "123")]
    assert rows == [["1", "2", "3"], ["4", "5", "6"], ["7", "8", "9"]]


def test_default_map_is_known_and_complete() -> None:
    """Each name is one of the kernel's, each meaning a logical key, and a bare number pad reaches all of them."""
    assert set(SHIPPED) <= set(evdev.ecodes.ecodes)
    assert set(SHIPPED.values()) == set(KEYS)
    assert {key for name, key in SHIPPED.items() if name.startswith("KEY_KP")} == set(KEYS)


def test_only_devices_with_a_mapped_key_are_taken(tmp_path: Path) -> None:
    """A mouse and a power button are left to others; a pad is grabbed."""
    fake = FakeEvdev()
    mouse = fake.plug(tmp_path / "event0", "BTN_LEFT", name="mouse")
    power = fake.plug(tmp_path / "event1", "KEY_POWER", name="power button")
    pad = fake.plug(tmp_path / "event2", "KEY_KP6", name="pad")
    bare = fake.plug(tmp_path / "event3", name="sensor")
    (tmp_path / "mouse0").touch()
    keys = InputKeys(SHIPPED, folder=tmp_path, evdev=fake)
    assert keys.names() == ("pad",)
    assert pad.handle is not None
    assert pad.handle.grabbed
    assert mouse.handle is power.handle is bare.handle is None
    keys.close()
    assert pad.handle is None


def test_listening_without_grabbing(tmp_path: Path) -> None:
    """Asked not to grab, a device is heard and left to others; one that another program has is silent."""
    fake = FakeEvdev()
    pad = fake.plug(tmp_path / "event0", "KEY_KP6")
    busy = fake.plug(tmp_path / "event1", "KEY_KP4")
    busy.busy = True
    keys = InputKeys(SHIPPED, grab=False, folder=tmp_path, evdev=fake)
    for device, name in ((busy, "KEY_KP4"), (pad, "KEY_KP6")):
        device.move(name, 1)
        assert device.handle is not None
        assert not device.handle.grabbed
    assert told(keys) == [(SHIPPED["KEY_KP6"], True)]
    keys.close()


def test_map_of_the_settings(tmp_path: Path) -> None:
    """Another map makes other keys; repeats and unmapped keys of a taken device are not told."""
    fake = FakeEvdev()
    device = fake.plug(tmp_path / "event0", "KEY_F1", "KEY_F2")
    keys = InputKeys({"KEY_F1": "go"}, folder=tmp_path, evdev=fake)
    for name, value in (("KEY_F1", 1), ("KEY_F1", 2), ("KEY_F2", 1), ("KEY_F2", 0), ("KEY_F1", 0)):
        device.move(name, value)
    assert told(keys) == [("go", True), ("go", False)]
    keys.close()


@pytest.mark.parametrize("name", ["KEY_NOSUCH", "EV_KEY", "kp6", ""])
def test_unknown_name_is_refused(tmp_path: Path, name: str) -> None:
    """A name the kernel does not know, or that is no key, is named in the error."""
    with pytest.raises(Refused, match=f"input device key '{name}'"):
        InputKeys({name: "go"}, folder=tmp_path, evdev=FakeEvdev())


def test_plugged_in_later(tmp_path: Path) -> None:
    """A new device wakes the loop, is taken, and a key already down on it is told."""
    fake = FakeEvdev()
    keys = InputKeys(SHIPPED, folder=tmp_path, evdev=fake)
    assert told(keys) == []
    assert not awake(keys)
    device = fake.plug(tmp_path / "event7", "KEY_KPENTER")
    device.held.add(evdev.ecodes.KEY_KPENTER)
    assert awake(keys)
    assert told(keys) == [("go", True)]
    device.move("KEY_KPENTER", 0)
    assert told(keys) == [("go", False)]
    assert not awake(keys)
    keys.close()


def test_node_that_gets_its_rights_later(tmp_path: Path) -> None:
    """A node appears first and may be opened only once its group is set: the change of rights wakes the loop."""
    fake = FakeEvdev()
    keys = InputKeys(SHIPPED, folder=tmp_path, evdev=fake)
    path = tmp_path / "event0"
    fake.forbidden.add(str(path))
    fake.plug(path, "KEY_KP6")
    assert told(keys) == []
    assert keys.names() == ()
    fake.forbidden.clear()
    path.chmod(0o660)
    assert awake(keys)
    told(keys)
    assert keys.names() == ("pad",)
    keys.close()


def test_folder_that_comes_with_the_first_device(tmp_path: Path) -> None:
    """Without any input device there may be no folder; it is taken up when it comes, goes and comes again."""
    fake, folder = FakeEvdev(), tmp_path / "input"
    keys = InputKeys(SHIPPED, folder=folder, evdev=fake)
    for _ in range(2):
        folder.mkdir()
        device = fake.plug(folder / "event0", "KEY_KP6")
        assert awake(keys)
        told(keys)
        assert keys.names() == ("pad",)
        device.unplug()
        folder.rmdir()
        told(keys)
        assert keys.names() == ()
        assert not awake(keys)
    keys.close()


def test_unplugged_device_lets_go_of_its_keys(tmp_path: Path) -> None:
    """Pulled out with a key down: an edge up, no trouble, no further wake-up, and it can come back."""
    fake = FakeEvdev()
    device = fake.plug(tmp_path / "event0", "KEY_KP6", "KEY_KPENTER")
    keys = InputKeys(SHIPPED, folder=tmp_path, evdev=fake)
    device.move("KEY_KPENTER", 1)
    assert told(keys) == [("go", True)]
    device.unplug()
    assert told(keys) == [("go", False)]
    assert told(keys) == []
    assert not awake(keys)
    again = fake.plug(tmp_path / "event0", "KEY_KP6", "KEY_KPENTER")
    told(keys)
    again.move("KEY_KPENTER", 1)
    assert told(keys) == [("go", True)]
    keys.close()


def test_replugged_before_the_loop_looked(tmp_path: Path) -> None:
    """Out and in again under the same name while the loop was busy: the new device is taken."""
    fake = FakeEvdev()
    device = fake.plug(tmp_path / "event0", "KEY_KPENTER")
    keys = InputKeys(SHIPPED, folder=tmp_path, evdev=fake)
    device.move("KEY_KPENTER", 1)
    assert told(keys) == [("go", True)]
    device.unplug()
    again = fake.plug(tmp_path / "event0", "KEY_KPENTER")
    assert told(keys) == [("go", False)]
    again.move("KEY_KPENTER", 1)
    assert told(keys) == [("go", True)]
    keys.close()


def test_two_devices_hold_one_key(tmp_path: Path) -> None:
    """A key is down while either device holds it: one edge down, one up."""
    fake = FakeEvdev()
    one, other = fake.plug(tmp_path / "event0", "KEY_KPENTER"), fake.plug(tmp_path / "event1", "KEY_ENTER")
    keys = InputKeys(SHIPPED, folder=tmp_path, evdev=fake)
    heard = []
    for device, name, value in ((one, "KEY_KPENTER", 1), (other, "KEY_ENTER", 1), (one, "KEY_KPENTER", 0)):
        device.move(name, value)
        heard += told(keys)
    assert heard == [("go", True)]
    other.move("KEY_ENTER", 0)
    assert told(keys) == [("go", False)]
    keys.close()


def test_lost_events_are_made_up_for(tmp_path: Path) -> None:
    """After SYN_DROPPED the stale rest is ignored and what is really down is looked up: nothing sticks.

    As the kernel's Documentation/input/event-codes.rst asks of a reader."""
    fake = FakeEvdev()
    device = fake.plug(tmp_path / "event0", "KEY_KPENTER", "KEY_KPSLASH")
    keys = InputKeys(SHIPPED, folder=tmp_path, evdev=fake)
    device.move("KEY_KPENTER", 1)
    assert told(keys) == [("go", True)]
    e = evdev.ecodes
    device.send(e.EV_SYN, e.SYN_DROPPED, 0)
    device.send(e.EV_KEY, e.KEY_KPENTER, 0)  # stale: it has gone down again since
    device.held = {e.KEY_KPENTER, e.KEY_KPSLASH}
    device.send(e.EV_SYN, e.SYN_REPORT, 0)
    assert told(keys) == [("note", True)]
    device.send(e.EV_SYN, e.SYN_DROPPED, 0)
    device.held = set()
    device.send(e.EV_SYN, e.SYN_REPORT, 0)
    assert sorted(told(keys)) == [("go", False), ("note", False)]
    device.move("KEY_KPENTER", 1)
    assert told(keys) == [("go", True)]
    keys.close()


def test_device_held_by_another_program(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    """One that cannot be grabbed is left, with a line in the log, and the others are taken."""
    caplog.set_level("INFO")
    fake = FakeEvdev()
    busy = fake.plug(tmp_path / "event0", "KEY_KP6", name="busy")
    busy.busy = True
    fake.plug(tmp_path / "event1", "KEY_KP6", name="free")
    keys = InputKeys(SHIPPED, folder=tmp_path, evdev=fake)
    assert keys.names() == ("free",)
    assert busy.handle is None
    assert "event0 not taken: Device or resource busy" in caplog.text
    keys.close()


def test_without_the_package_there_are_no_keys_from_here(tmp_path: Path) -> None:
    """One clear line in the log, nothing to wait for, nothing raised."""
    program = (
        "import sys, logging, pathlib; sys.modules['evdev'] = None; logging.basicConfig(format='%(message)s');"
        "from appliance.hardware.keys.input_devices import InputKeys;"
        f"keys = InputKeys({{}}, folder=pathlib.Path({str(tmp_path)!r}));"
        "print(keys.fileno(), keys.due(), keys.read(0.0), keys.names()); keys.close(); keys.close()"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout == "None None [] ()\n"
    assert done.stderr.splitlines() == [
        "no keys from input devices: the Python package evdev is not installed (python3-evdev)"
    ]


def test_folder_that_can_never_come(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    """Where not even the parent folder exists nothing is watched, and the log says so."""
    keys = InputKeys(SHIPPED, folder=tmp_path / "no" / "input", evdev=FakeEvdev())
    assert told(keys) == []
    assert "plugged in later will not be noticed" in caplog.text
    keys.close()


def test_watch_refused_leaves_nothing_open(tmp_path: Path) -> None:
    """A watch that the kernel refuses, and that is asked for again and again, does not use up the process's files."""
    before = set(os.listdir("/proc/self/fd"))  # noqa: PTH208 - names, not paths
    with pytest.raises(FileNotFoundError):
        FolderWatch(tmp_path / "no" / "input")
    (tmp_path / "file").touch()
    with pytest.raises(NotADirectoryError):
        FolderWatch(tmp_path / "file" / "input" / "deeper")
    assert set(os.listdir("/proc/self/fd")) == before  # noqa: PTH208 - as above


def test_watch_tells_what_comes_goes_and_changes_only(tmp_path: Path) -> None:
    """A watch wakes for a file created, removed or with new rights, and not for one that is written."""
    watch = FolderWatch(tmp_path)
    path = tmp_path / "event0"
    woken = []
    for act in (path.touch, lambda: path.write_text("x"), lambda: path.chmod(0o600), path.unlink):
        act()
        woken.append(bool(select.select([watch.fd], [], [], 0)[0]))
        watch.clear()
    assert woken == [True, False, True, True]
    watch.close()


def test_a_power_button_alone_is_not_worth_the_package(tmp_path: Path) -> None:
    """The package is imported with the first device that has other keys; the words are as the kernel has them.

    Its words are of the machine's long, highest first (drivers/input/input.c, input_bits_to_string).
    """
    sysfs, folder = tmp_path / "sysfs", tmp_path / "input"
    folder.mkdir()
    for event, words in (("event0", "10000000000000 0"), ("event1", "10000000002000 0")):
        (sysfs / event / "device/capabilities").mkdir(parents=True)
        (sysfs / event / "device/capabilities/key").write_text(words + "\n")
    (folder / "event0").touch()
    program = (
        "import sys, pathlib; import appliance.hardware.keys.input_devices as it;"
        f"it.SYSFS = pathlib.Path({str(sysfs)!r}); folder = pathlib.Path({str(folder)!r});"
        "keys = it.InputKeys({'KEY_KP6': 'forward'}, folder=folder); print('evdev' in sys.modules);"
        "(folder / 'event1').touch(); keys.read(0.0); print('evdev' in sys.modules); keys.close();"
        "keys = it.InputKeys({'KEY_POWER': 'go'}, folder=folder); keys.close()"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "True"]
