"""The units, looked at by systemd's own tools, and held against what the program and its settings say."""

import os
from configparser import RawConfigParser
from pathlib import Path

import pytest

from appliance.hardware.supervisor import REQUEST
from appliance.settings import load
from appliance.shipped import shipped
from tests.systemd.staged import UNITS, run, stage, tool

UNIT_FOLDER = "usr/lib/systemd/system"


class Unit(RawConfigParser):
    """A unit file: case kept, the last of equal keys wins, ``every`` gives all of them."""

    def __init__(self, name: str) -> None:
        super().__init__(strict=False, interpolation=None)
        self.text = (shipped("systemd/system") / name).read_text("utf-8")
        self.read_string(self.text)

    def optionxform(self, optionstr: str) -> str:
        """Keys as written."""
        return optionstr

    def every(self, key: str) -> list[str]:
        """Every value given to ``key``."""
        return [line.removeprefix(f"{key}=") for line in self.text.splitlines() if line.startswith(f"{key}=")]


SERVICE = Unit("fieldmouse.service")


def test_verify_is_silent(tmp_path: Path) -> None:
    """systemd finds nothing to say of the units: its exit code is 0 for unknown keys too, so its words count."""
    root = stage(tmp_path)
    files = [root / UNIT_FOLDER / name for name in UNITS]
    assert run(tool("systemd-analyze"), "verify", f"--root={root}", "--man=no", *files) == (0, "", "")


def test_verify_would_speak(tmp_path: Path) -> None:
    """The check above can fail: a misspelt key, and a program that is not there, are told."""
    root = stage(tmp_path)
    unit = root / UNIT_FOLDER / "fieldmouse.service"
    unit.write_text(SERVICE.text.replace("WatchdogSec=", "WatchdogSecs="))
    assert "WatchdogSecs" in run(tool("systemd-analyze"), "verify", f"--root={root}", "--man=no", unit)[2]
    (root / "usr/bin/fieldmouse").unlink()
    assert "not executable" in run(tool("systemd-analyze"), "verify", f"--root={root}", "--man=no", unit)[2]


@pytest.mark.parametrize(("tenths", "code"), [("8", 0), ("3", 1)])
def test_exposure(tmp_path: Path, tenths: str, code: int) -> None:
    """The service's exposure is at most 0.8 of 10 (0.4 measured with systemd 252), and the measure can tell."""
    unit = stage(tmp_path) / UNIT_FOLDER / "fieldmouse.service"
    said = run(
        tool("systemd-analyze"), "security", "--offline=yes", f"--root={tmp_path}", f"--threshold={tenths}", unit
    )
    assert (said[0], said[2]) == (code, "")


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can make users in a staged root and give them folders")
def test_users_and_folders(tmp_path: Path) -> None:
    """systemd-sysusers and -tmpfiles make the user, its groups and its folder without a word of complaint."""
    root = stage(tmp_path)
    for tool_name, extra in (("systemd-sysusers", []), ("systemd-tmpfiles", ["--create"])):
        code, _, said = run(tool(tool_name), f"--root={root}", *extra, "fieldmouse.conf")
        lines = [line for line in said.splitlines() if not line.startswith("Creating ")]
        assert (code, lines) == (0, [])
    groups = {line.split(":")[0]: line.split(":")[3] for line in (root / "etc/group").read_text().splitlines()}
    wanted = SERVICE["Service"]["SupplementaryGroups"].split()
    assert {name for name, members in groups.items() if members == "fieldmouse"} == set(wanted)
    folder = (root / "var/lib/fieldmouse").stat()
    user = next(line for line in (root / "etc/passwd").read_text().splitlines() if line.startswith("fieldmouse:"))
    assert (str(folder.st_uid), folder.st_mode & 0o777) == (user.split(":")[2], 0o750)


def test_udev_rules() -> None:
    """udev reads the rules without complaint (udevadm verify came with systemd 254)."""
    rules = shipped("systemd") / "udev/rules.d/70-fieldmouse.rules"
    code, _, said = run(tool("udevadm"), "verify", rules)
    if "Unknown command verb" in said or "Unknown command" in said or "unrecognized" in said.lower():
        pytest.skip("this host's udevadm has no verify: it came with systemd 254")
    assert (code, said) == (0, "")


def test_sandbox_allows_what_is_needed() -> None:
    """Cards, GPIO chips, input devices and sound, and not one more; the board's revision stays readable."""
    allowed = {"char-drm rw", "char-226 rw", "char-gpiochip rw", "char-input r", "char-alsa rw", "char-116 rw"}
    assert set(SERVICE.every("DeviceAllow")) == allowed
    service = SERVICE["Service"]
    assert service["DevicePolicy"] == "closed"
    assert "PrivateDevices" not in service
    assert "ProcSubset" not in service


def test_never_given_up() -> None:
    """The service is started again after any end, without a limit, which systemd reads under [Unit] only."""
    assert SERVICE["Unit"]["StartLimitIntervalSec"] == "0"
    assert SERVICE["Service"]["Restart"] == "always"


def test_watchdog_leaves_room() -> None:
    """systemd waits 30 s for a sign of life, and the board's own watchdog 14 s (a Raspberry Pi's: at most 15)."""
    assert SERVICE["Service"]["WatchdogSec"] == "30"
    board = (shipped("systemd") / "system.conf.d/fieldmouse.conf").read_text("utf-8")
    assert "RuntimeWatchdogSec=14" in board.splitlines()


def test_folders_are_those_of_the_settings() -> None:
    """The folders that systemd makes are the ones that the shipped settings name."""
    folders, service = load().folders, SERVICE["Service"]
    assert f"/var/lib/{service['StateDirectory']}" == str(folders.state)
    assert f"/run/{service['RuntimeDirectory']}" == str(folders.run)
    tmpfiles = (shipped("systemd") / "tmpfiles.d/fieldmouse.conf").read_text("utf-8")
    assert f" {folders.state} {service['StateDirectoryMode']} fieldmouse fieldmouse " in tmpfiles


def test_lines_that_go_with_another_folder() -> None:
    """The settings' comments name the lines of the units that hold the folders, and no line is missing there."""
    settings = shipped("config/fieldmouse.yaml").read_text("utf-8").replace("\n  # ", " ")
    for name in sorted(path.name for path in (shipped("systemd") / "system").glob("fieldmouse*")):
        unit = Unit(name)
        for section in unit.sections():
            for key, value in unit[section].items():
                holds = any(run in value for run in ("/run/fieldmouse", "%t/fieldmouse")) or (
                    key.endswith("Directory") and value == "fieldmouse"
                )
                assert not holds or f"{key}= of {name}" in settings, (name, key)


def test_poweroff_only_by_request() -> None:
    """The power goes off by the file that the program makes, and by nothing that happens to the service."""
    request = str(load().folders.run / REQUEST)
    assert Unit("fieldmouse-poweroff.path")["Path"]["PathExists"] == request
    assert Unit("fieldmouse-poweroff.service")["Service"]["ExecStartPre"].split()[-1] == request
    assert not {"OnSuccess", "OnFailure", "SuccessAction", "FailureAction"} & {
        key for section in SERVICE.sections() for key in SERVICE[section]
    }
    assert "RuntimeDirectoryPreserve" not in SERVICE["Service"]


def test_starts_early() -> None:
    """Nothing but the root file system is waited for: neither sysinit.target nor every mount."""
    unit = SERVICE["Unit"]
    assert unit["DefaultDependencies"] == "no"
    assert unit["After"].split() == ["systemd-remount-fs.service"]
    assert unit["Before"] == unit["Conflicts"] == "shutdown.target"
    assert "PrivateTmp" not in SERVICE["Service"]


def test_started_with_the_system() -> None:
    """The first target of the start wants the service and is not ordered around it: neither waits for the other."""
    assert SERVICE["Install"]["WantedBy"] == "sysinit.target"
    assert not {"Requires", "Wants", "BindsTo"} & set(SERVICE["Unit"])


def test_card_is_handed_over_as_udev_would() -> None:
    """The card goes to the group that the service has, with the mode of systemd's own rule for cards, not ordered
    around the service; and nothing of it can fail the start of a machine without such a card."""
    unit = Unit("fieldmouse-card.service")
    assert unit["Install"]["WantedBy"] == "sysinit.target"
    assert "fieldmouse.service" not in unit["Unit"].get("Before", "") + SERVICE["Unit"]["After"]
    steps = unit.every("ExecStart")
    assert all(step.startswith("-") for step in steps)
    # 50-udev-default.rules.in of systemd: SUBSYSTEM=="drm", KERNEL!="renderD*", GROUP="video" (udev's mode for a
    # device with a group is 0660: udev(7), MODE).
    assert "chgrp video" in steps[-1]
    assert "chmod 0660" in steps[-1]


def test_no_prompt_on_the_picture() -> None:
    """The login prompt of the first console steps aside as long as the service is installed."""
    dropin = (shipped("systemd") / "system/getty@tty1.service.d/fieldmouse.conf").read_text("utf-8")
    assert f"ConditionPathExists=!/{UNIT_FOLDER}/fieldmouse.service" in dropin.splitlines()


def test_nothing_stands_before_it() -> None:
    """No unit of ours that waits for the start-up is ordered before the service, as timers, sockets and paths of its
    name would be (systemd.timer(5), "Implicit Dependencies")."""
    names = {path.name for path in (shipped("systemd") / "system").iterdir() if path.is_file()}
    assert not names & {"fieldmouse.timer", "fieldmouse.socket", "fieldmouse.path"}
