"""gpiozero's own default, lgpio, put into the machine to be compared with our pin factory.

Debian has neither lgpio nor a gpiozero that works with it: both come from PyPI, lgpio as source, which is built in the
root that the kernel's modules are built in (PYPI=1 makes it bundle its C library, as its own setup asks).
"""

import os
import shutil
import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Sequence
from pathlib import Path

from tests.machine.machine import Machine
from tests.machine.roots import roots

FOLDER = "/opt/other-pins"
"""Where both lie in the guest; nothing finds them unless told to."""

_VERSIONS = ("lgpio==0.2.2.0", "gpiozero==2.0.1")


class NotBuilt(Exception):
    """lgpio cannot be had here; the message says what failed."""


def put_in(machine: Machine) -> None:
    """Both packages below :data:`FOLDER` in the guest. Raises :class:`NotBuilt`."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        _fetch(folder)
        for wheel in (_built(folder), next(folder.glob("gpiozero-*.whl"))):
            with zipfile.ZipFile(wheel) as packed:
                packed.extractall(folder / "out")
        shutil.make_archive(str(folder / "both"), "tar", folder / "out")
        machine.write("/run/both.tar", (folder / "both.tar").read_bytes())
    done = machine.run(f"mkdir -p {FOLDER} && tar -xf /run/both.tar -C {FOLDER} && rm /run/both.tar")
    assert done.code == 0, done.err


def _fetch(folder: Path) -> None:
    pip: list[str | Path] = [sys.executable, "-m", "pip"]
    _run([*pip, "install", "-q", "setuptools", "wheel"])
    download: list[str | Path] = [*pip, "download", "-q", "--no-deps", "-d", folder]
    _run([*download, "--no-binary", "lgpio", "--no-build-isolation", _VERSIONS[0]], PYPI="1")
    _run([*download, _VERSIONS[1]])


def _built(folder: Path) -> Path:
    """The wheel of lgpio for the guest's Python."""
    root = roots().build
    work = root / "root/lgpio"
    shutil.rmtree(work, ignore_errors=True)
    work.mkdir()
    shutil.unpack_archive(next(folder.glob("lgpio-*.tar.gz")), work)
    source = next(work.iterdir()).name
    command = f"cd /root/lgpio/{source} && PYPI=1 python3 setup.py -q bdist_wheel -d /root/lgpio/made"
    _run(["chroot", root, "sh", "-c", command])
    return next((work / "made").glob("*.whl"))


def _run(command: Sequence[str | Path], **given: str) -> None:
    done = subprocess.run(command, env=os.environ | given, capture_output=True, text=True, check=False)
    if done.returncode:
        raise NotBuilt(f"{' '.join(map(str, command[:4]))} …: {done.stderr.strip()[-200:]}")
