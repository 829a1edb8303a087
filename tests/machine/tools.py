"""What the host must have, each tool by the Debian package that has it."""

import os
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

from tests.machine.steps import MachineTrouble, NotHere

TOOLS = {
    "qemu-system-x86_64": "qemu-system-x86",
    "mmdebstrap": "mmdebstrap",
    "mke2fs": "e2fsprogs",
    "cpio": "cpio",
    "depmod": "kmod",
    "zstd": "zstd",
    "xz": "xz-utils",
    "chroot": "coreutils",
}
"""Tool → Debian package."""

_PATH = os.environ.get("PATH", "") + ":/usr/sbin:/sbin"


def missing(path: str = _PATH, user: int | None = None) -> list[str]:
    """Why no machine can be built here, a line for each reason; empty when it can."""
    reasons = [
        f"{tool} is not there: apt-get install {package}"
        for tool, package in TOOLS.items()
        if shutil.which(tool, path=path) is None
    ]
    if (os.geteuid() if user is None else user) != 0:
        reasons.insert(0, "you are not root: building the machine's disk takes chroot and device nodes")
    return reasons


def require() -> None:
    """Raise :class:`NotHere` naming everything that is missing, when anything is."""
    reasons = missing()
    if reasons:
        raise NotHere("; ".join(reasons))


def run(command: Sequence[str | Path], log: Path, cwd: Path | None = None) -> None:
    """Run ``command`` with its output in ``log``; raises :class:`MachineTrouble` with the log's end when it fails."""
    with log.open("ab") as out:
        done = subprocess.run(
            [str(word) for word in command],
            stdin=subprocess.DEVNULL, stdout=out, stderr=out, cwd=cwd, check=False,
            env={**os.environ, "PATH": _PATH, "LC_ALL": "C.UTF-8"},
        )  # fmt: skip
    if done.returncode:
        tail = "\n".join(log.read_text(errors="replace").splitlines()[-15:])
        raise MachineTrouble(f"{command[0]} ended with code {done.returncode}; the last lines of {log}:\n{tail}")
