"""A root folder with the host's own units and ours where the package puts them, for systemd's tools to look at."""

import shutil
import subprocess
from pathlib import Path

import pytest

from appliance.shipped import shipped

PLACES = {
    "system": "usr/lib/systemd/system",
    "system.conf.d": "usr/lib/systemd/system.conf.d",
    "sysusers.d": "usr/lib/sysusers.d",
    "tmpfiles.d": "usr/lib/tmpfiles.d",
    "udev/rules.d": "usr/lib/udev/rules.d",
}
"""Folder under ``systemd/`` → where its files are installed."""

HOST_UNITS = Path("/lib/systemd/system")
UNITS = ("fieldmouse.service", "fieldmouse-card.service", "fieldmouse-poweroff.path", "fieldmouse-poweroff.service")


def tool(name: str) -> str:
    """The full name of one of systemd's tools; skips the test where it is not installed."""
    found = shutil.which(name)
    if not found or not HOST_UNITS.is_dir():
        pytest.skip(f"{name} is not here: install the Debian package systemd (udev for udevadm)")
    return found


def stage(root: Path) -> Path:
    """Fill ``root``: the host's units, ours over them, and stand-ins for the programs they start."""
    shutil.copytree(HOST_UNITS, root / "usr/lib/systemd/system", symlinks=True)
    (root / "lib").symlink_to("usr/lib")
    for folder, place in PLACES.items():
        shutil.copytree(shipped("systemd") / folder, root / place, dirs_exist_ok=True)
    for folder in ("usr/bin", "etc"):
        (root / folder).mkdir(parents=True)
    for program in ("fieldmouse", "rm", "systemctl"):
        (root / "usr/bin" / program).write_text("#!/bin/sh\n")
        (root / "usr/bin" / program).chmod(0o755)
    return root


def run(*command: str | Path) -> tuple[int, str, str]:
    """Exit code, output and errors of ``command``."""
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    return done.returncode, done.stdout, done.stderr
