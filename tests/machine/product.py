"""Puts the project onto the guest's disk as a user would: by its Debian package, or without one by its wheel."""

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

from appliance.install.package import BUILD_TOOLS, build
from tests.machine import cache, tools
from tests.machine.steps import MachineTrouble, say, step

CHECKOUT = Path(__file__).parents[2]

_MADE_FROM = ("appliance", "config", "systemd", "hardware_notes", "pyproject.toml", "README.md")
_WANTED = ("appliance/cli.py", "README.md", "systemd/system/fieldmouse.service", "config/fieldmouse.yaml")

_UNDER_LIB = {"system": "systemd/system", "system.conf.d": "systemd/system.conf.d"}
"""Folders of ``systemd/`` whose place under /usr/lib has another name than their own."""


def _named_package() -> Path | None:
    named = os.environ.get("FIELDMOUSE_DEB")
    return Path(named).resolve() if named else None


def missing() -> list[str]:
    """What the checkout lacks for a product to be installed from it."""
    return [] if _named_package() else [name for name in _WANTED if not (CHECKOUT / name).exists()]


def content_key() -> str:
    """Changes with whatever is installed."""
    if missing():
        return "without the product"
    package = _named_package()
    return cache.content_key(*([package] if package else [CHECKOUT / n for n in _MADE_FROM if (CHECKOUT / n).exists()]))


def install(root: Path) -> None:
    """Install the project into ``root``: the package ``$FIELDMOUSE_DEB``, or one built here, or a wheel.

    Without a product to install the disk is left as it is, and that is said.
    Raises :class:`MachineTrouble` with the end of the log when building or installing fails.
    """
    if missing():
        say(f"NO PRODUCT ON THIS DISK: the checkout has no {', '.join(missing())}")
    elif package := _named_package() or _package(root.parent):
        _install_package(root, package)
    else:
        _install_wheel(root)


def _package(into: Path) -> Path | None:
    """The Debian package, built from the checkout; None where the host has no debhelper, which is said."""
    if shutil.which("dh") is None:
        say(f"no debhelper here: the wheel goes in instead of the package (it needs {' '.join(BUILD_TOOLS)})")
        return None
    with step("the project's Debian package"):
        return build(into / "package")


def _install_package(root: Path, package: Path) -> None:
    # The root has no package lists: what is not there already cannot be fetched, so a missing dependency fails here.
    with step(f"apt install ./{package.name}"):
        shutil.copy(package, root / "root")
        install = ["env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "install", "-y", f"/root/{package.name}"]
        tools.run(["chroot", root, *install], root.parent / "disk.log")


def _install_wheel(root: Path) -> None:
    with step("the project by its wheel"):
        with zipfile.ZipFile(_wheel(root.parent / "wheel")) as packed:
            packed.extractall(root / "usr/lib/python3/dist-packages")  # a pure wheel is laid out as it is installed
        command = root / "usr/bin/fieldmouse"
        command.write_text("#!/usr/bin/python3\nimport sys\n\nfrom appliance.cli import main\n\nsys.exit(main())\n")
        command.chmod(0o755)
        _system_files(root, root.parent / "disk.log")


def _wheel(into: Path) -> Path:
    command = [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", str(into), str(CHECKOUT)]
    done = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
    if done.returncode:
        raise MachineTrouble(f"the project's wheel cannot be built:\n{done.stderr[-2000:]}")
    return next(into.glob("*.whl"))


def _system_files(root: Path, log: Path) -> None:
    """Units, users, device rules and byte code; units that start by themselves are enabled. Folders come at boot."""
    folder = CHECKOUT / "systemd"
    for place in (p for p in folder.iterdir() if p.is_dir()):
        shutil.copytree(place, root / "usr/lib" / _UNDER_LIB.get(place.name, place.name), dirs_exist_ok=True)
    packages = "/usr/lib/python3/dist-packages/appliance"
    tools.run(["chroot", root, "systemd-sysusers"], log)
    tools.run(["chroot", root, "python3", "-m", "compileall", "-q", packages], log)
    for unit in sorted((folder / "system").iterdir()):
        if unit.is_file() and "[Install]" in unit.read_text():
            tools.run(["chroot", root, "systemctl", "enable", unit.name], log)
