"""The running service sits in the sandbox that ships, and the kernel agrees."""

import re
from configparser import ConfigParser

import pytest

from appliance.shipped import shipped
from tests.machine.box.handle import UNIT, Box

pytestmark = pytest.mark.machine

SAME = (
    "NoNewPrivileges", "PrivateNetwork", "PrivateUsers", "ProtectHome", "ProtectSystem", "ProtectClock", "ProtectProc",
    "ProtectControlGroups", "ProtectHostname", "ProtectKernelLogs", "ProtectKernelModules", "ProtectKernelTunables",
    "RestrictSUIDSGID", "RestrictRealtime", "LockPersonality", "MemoryDenyWriteExecute", "DevicePolicy", "KeyringMode",
    "RemoveIPC", "User", "Group", "Type", "NotifyAccess", "Restart", "SystemCallArchitectures", "PrivateMounts",
)  # fmt: skip
"""What ``systemctl show`` tells in the words of the unit file."""


def _unit() -> dict[str, str]:
    """The unit file's [Service] section; of a key written twice the last."""
    parser = ConfigParser(strict=False, interpolation=None)
    parser.optionxform = str  # type: ignore[method-assign,assignment] # systemd's names have capitals
    parser.read_string(shipped(f"systemd/system/{UNIT}").read_text("utf-8"))
    return dict(parser["Service"])


def test_the_unit_is_the_shipped_one(box: Box) -> None:
    """What runs is the file that ships, word for word, with nothing laid over it."""
    facts = box.facts("FragmentPath", "DropInPaths", "LoadState")
    assert (facts["LoadState"], facts.get("DropInPaths", "")) == ("loaded", "")
    assert box.machine.read(facts["FragmentPath"]) == shipped(f"systemd/system/{UNIT}").read_bytes()


def test_every_wall_is_up(box: Box) -> None:
    """The service manager took each wall as it is written."""
    written = _unit()
    wanted = {name: written[name] for name in SAME}
    assert box.facts(*SAME) == wanted
    told = box.facts("CapabilityBoundingSet", "AmbientCapabilities", "RestrictAddressFamilies", "DeviceAllow")
    assert (told["CapabilityBoundingSet"], told["AmbientCapabilities"]) == ("", "")
    assert told["RestrictAddressFamilies"] == "AF_UNIX"
    assert "char-gpiochip" in box.must(f"systemctl show {UNIT} -p DeviceAllow")


def test_exposure(box: Box) -> None:
    """systemd's own reckoning of the running unit's exposure is at most 0.8."""
    table = box.machine.run(f"systemd-analyze security --no-pager {UNIT}").out
    (level,) = re.findall(r"Overall exposure level for \S+: ([\d.]+)", table)
    print(f"exposure {level}")
    assert float(level) <= 0.8


def test_the_kernel_agrees(box: Box) -> None:
    """The process has no rights, a filter of system calls, an own network, and is not root."""
    box.wait_ready()
    pid = box.pid()
    status = dict(line.split(":", 1) for line in box.must(f"cat /proc/{pid}/status").splitlines())
    assert status["NoNewPrivs"].strip() == "1"
    assert status["Seccomp"].strip() == "2"
    assert int(status["CapEff"], 16) == int(status["CapBnd"], 16) == 0
    assert "0" not in status["Uid"].split()
    assert box.must(f"readlink /proc/{pid}/ns/net") != box.must("readlink /proc/1/ns/net")
    opened = box.must(f"ls -l /proc/{pid}/fd")
    kinds = {re.sub(r"\d+$", "", name) for name in re.findall(r"/dev/\S+", opened)}
    assert kinds <= {"/dev/null", "/dev/dri/card", "/dev/gpiochip", "/dev/input/event"}
