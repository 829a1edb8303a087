"""The Debian package: ``python -m appliance.install.package [-o DIR] [--root DEBIAN]``.

dpkg-buildpackage wants ``debian/`` at the top, where it would be one more thing to read; it stands beside this module
and is laid out only for the build. The changelog is written from the version. With ``--root`` the build runs inside
that Debian root folder (root only), else here, with the host's tools.
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


def build(out: Path, root: Path | None = None) -> Path:
    """Build the package into the folder ``out`` and give its name.

    Raises :class:`Refused` with the build's last words when there is none.
    """
    out.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory(dir=root / "tmp" if root else None) as folder:
        tree = Path(folder) / "fieldmouse"
        stage(tree, float(os.environ.get("SOURCE_DATE_EPOCH") or time.time()))
        done = subprocess.run(  # noqa: S603 - the command is our own
            _command(tree, root), cwd=None if root else tree, capture_output=True, text=True, check=False
        )
        made = list(Path(folder).glob("fieldmouse_*_all.deb"))
        if done.returncode or not made:
            last = "\n".join((done.stdout + done.stderr).splitlines()[-15:])
            raise Refused(f"the package was not built (it needs the packages {' '.join(BUILD_TOOLS)}):\n{last}")
        return Path(shutil.copy(made[0], out))


def _command(tree: Path, root: Path | None) -> list[str]:
    if root is None:
        return list(_BUILD)
    inside = f"/{tree.relative_to(root)}"
    return ["chroot", str(root), "sh", "-c", f"cd {inside} && exec {' '.join(_BUILD)}"]


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
    parser.add_argument("--root", type=Path, help="a Debian root folder to build in, with the build's tools")
    options = parser.parse_args(arguments)
    try:
        sys.stdout.write(f"{build(options.out, options.root)}\n")
    except (Refused, OSError) as error:
        sys.stderr.write(f"{error}\n")
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
