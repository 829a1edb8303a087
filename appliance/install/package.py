"""The Debian package: ``python -m appliance.install.package [-o DIR]``.

dpkg-buildpackage wants ``debian/`` at the top, where it would be one more thing to read; it stands beside this module
and is laid out only for the build. The changelog is written from the version. Debian 12 and 13 build the same package,
which Debian 13 and the Raspberry Pi OS of its generation install.
"""

import argparse
import os
import shutil
import subprocess
import sys
import time
from email.utils import formatdate
from pathlib import Path
from tempfile import TemporaryDirectory

from appliance import __version__
from appliance.errors import Refused

CHECKOUT = Path(__file__).parents[2]

SOURCES = ("appliance", "config", "systemd", "hardware_notes", "pyproject.toml", "README.md")
"""What the package is built from, at the top of the checkout."""

BUILD_TOOLS = ("debhelper", "dh-python", "dpkg-dev", "pybuild-plugin-pyproject", "python3-all", "python3-hatchling")
"""Debian packages that the build needs."""

# Nothing is compiled, so the compilers that the check of build dependencies always asks for are not needed.
_BUILD = ("dpkg-buildpackage", "--build=binary", "--no-sign", "--no-check-builddeps")

# The system's Python builds, not one of a person's own that may come first on the path.
_PATH = "/usr/sbin:/usr/bin:/sbin:/bin"


def stage(into: Path, moment: float, checkout: Path = CHECKOUT) -> None:
    """Lay out the source tree with ``debian/`` at its top; ``moment`` is the changelog's date, in s since 1970.

    Raises :class:`Refused` naming what the checkout lacks.
    """
    lacking = [name for name in SOURCES if not (checkout / name).exists()]
    if lacking:
        raise Refused(f"{checkout}: has no {', '.join(lacking)}; the package is built from a whole checkout only")
    for name in SOURCES:
        _copy(checkout / name, into / name)
    _copy(checkout / "appliance/install/debian", into / "debian")
    (into / "debian/changelog").write_text(changelog(moment), "utf-8")


def changelog(moment: float) -> str:
    """The one entry of the changelog, in the form that deb-changelog(5) asks for."""
    who = "Fieldmouse maintainers <fieldmouse@example.invalid>"
    return f"""fieldmouse ({__version__}) unstable; urgency=medium

  * Built from the checkout.

 -- {who}  {formatdate(moment)}
"""


def build(out: Path) -> Path:
    """Build the package into the folder ``out`` and give its name.

    Raises :class:`Refused` with the build's last words when there is none.
    """
    out.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory() as folder:
        tree = Path(folder) / "fieldmouse"
        stage(tree, float(os.environ.get("SOURCE_DATE_EPOCH") or time.time()))
        environ = {**os.environ, "PATH": _PATH}
        # S603: the words run are our own.
        done = subprocess.run(_BUILD, cwd=tree, env=environ, capture_output=True, text=True, check=False)  # noqa: S603
        made = list(Path(folder).glob("fieldmouse_*_all.deb"))
        if done.returncode or not made:
            last = "\n".join((done.stdout + done.stderr).splitlines()[-15:])
            raise Refused(f"the package was not built (it needs the packages {' '.join(BUILD_TOOLS)}):\n{last}")
        return Path(shutil.copy(made[0], out))


def _copy(source: Path, to: Path) -> None:
    to.parent.mkdir(parents=True, exist_ok=True)
    if source.is_dir():
        shutil.copytree(source, to, ignore=shutil.ignore_patterns("__pycache__", "*.pyc"))
    else:
        shutil.copy(source, to)


def main(arguments: list[str]) -> int:
    """Build as asked and print the package's name; 2 with the reason when it cannot be built."""
    parser = argparse.ArgumentParser(
        prog="python -m appliance.install.package", description="Build the Debian package."
    )
    parser.add_argument("-o", "--out", type=Path, default=Path("dist"), help="folder for the package (dist)")
    options = parser.parse_args(arguments)
    try:
        sys.stdout.write(f"{build(options.out)}\n")
    except (Refused, OSError) as error:
        sys.stderr.write(f"{error}\n")
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
