"""Puts the project onto the guest's disk as a user would get it."""

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

from tests.machine import cache, tools
from tests.machine.steps import MachineTrouble, say, step

CHECKOUT = Path(__file__).parents[2]

_WHEEL_FROM = ("appliance", "config", "systemd", "pyproject.toml", "README.md")

_PLACES = {
    ".service": "usr/lib/systemd/system", ".path": "usr/lib/systemd/system", ".socket": "usr/lib/systemd/system",
    ".target": "usr/lib/systemd/system", ".timer": "usr/lib/systemd/system", ".rules": "usr/lib/udev/rules.d",
}  # fmt: skip


def package() -> Path | None:
    """The Debian package to install when one was named: ``$FIELDMOUSE_DEB``."""
    named = os.environ.get("FIELDMOUSE_DEB")
    return Path(named).resolve() if named else None


def missing() -> list[str]:
    """What the checkout lacks for a product to be installed from it; empty when there is a package or all is there."""
    wanted = ("appliance/cli.py", "README.md", "systemd/fieldmouse.service", "config/fieldmouse.yaml")
    return [] if package() else [name for name in wanted if not (CHECKOUT / name).exists()]


def content_key() -> str:
    """Changes with whatever is installed."""
    deb = package()
    if deb or missing():
        return cache.content_key(*([deb] if deb else ["without the product"]))
    return cache.content_key(*[CHECKOUT / name for name in _WHEEL_FROM])


def install(root: Path) -> None:
    """Install the project into ``root``: the Debian package if one was named, else a wheel and the units beside it.

    Without a product to install the machine is left as it is, and that is said.
    """
    deb, lacking = package(), missing()
    if lacking:
        say(f"NO PRODUCT ON THIS DISK: the checkout has no {', '.join(lacking)}")
    elif deb:
        _install_package(root, deb)
    else:
        _install_wheel(root)


def _install_package(root: Path, deb: Path) -> None:
    with step(f"apt install ./{deb.name}"):
        shutil.copy(deb, root / "root")
        log = root / "root/install.log"
        command = ["chroot", root, "apt-get", "install", "-y", "--no-download", f"/root/{deb.name}"]
        tools.run([*command[:2], "env", "DEBIAN_FRONTEND=noninteractive", *command[2:]], log)


def _install_wheel(root: Path) -> None:
    with step("the project by its wheel"):
        wheel = _wheel(root / "root/wheel")
        with zipfile.ZipFile(wheel) as packed:
            packed.extractall(root / "usr/lib/python3/dist-packages")  # a pure wheel is laid out as it is installed
        _write(root / "usr/bin/fieldmouse", _COMMAND, 0o755)
        _system_files(root)
        shutil.rmtree(root / "root/wheel")


_COMMAND = """#!/usr/bin/python3
import sys

from appliance.cli import main

sys.exit(main())
"""


def _wheel(into: Path) -> Path:
    command = [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", str(into), str(CHECKOUT)]
    done = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
    if done.returncode:
        raise MachineTrouble(f"the project's wheel cannot be built:\n{done.stderr[-2000:]}")
    return next(into.glob("*.whl"))


def _write(path: Path, text: str, mode: int) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text)
    path.chmod(mode)


def _system_files(root: Path) -> None:
    """Units, users, folders and device rules, and the units that the system starts by itself."""
    log = root / "root/install.log"
    for file in sorted(f for f in (CHECKOUT / "systemd").rglob("*") if f.is_file()):
        place = _PLACES.get(file.suffix) or next((f"usr/lib/{w}.d" for w in ("sysusers", "tmpfiles") if w in str(file)), "")
        if place:
            name = file.name if file.suffix in (*_PLACES, ".conf") else f"fieldmouse-{file.name}.conf"
            (root / place).mkdir(parents=True, exist_ok=True)
            shutil.copy(file, root / place / name)
    tools.run(["chroot", root, "systemd-sysusers"], log)
    tools.run(["chroot", root, "systemd-tmpfiles", "--create"], log)
    for unit in sorted((CHECKOUT / "systemd").rglob("*")):
        if unit.suffix in _PLACES and "[Install]" in unit.read_text():
            tools.run(["chroot", root, "systemctl", "enable", unit.name], log)
