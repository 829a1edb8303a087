"""Where what was built is kept: outside the checkout, each thing in a folder named by what it was made from."""

import fcntl
import hashlib
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import TextIO

from tests.machine.steps import say

KEPT = 3
"""Folders of one kind that stay; older ones go when a new one is made."""


def folder() -> Path:
    """``$FIELDMOUSE_MACHINE_CACHE``, or ``fieldmouse-machine`` in the user's cache; made when it is not there."""
    named = os.environ.get("FIELDMOUSE_MACHINE_CACHE")
    users = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    path = Path(named) if named else users / "fieldmouse-machine"
    path.mkdir(parents=True, exist_ok=True)
    return path


def content_key(*parts: str | bytes | Path) -> str:
    """Sixteen hexadecimal digits that change with any part: a text, bytes, or a file or folder by names and content."""
    digest = hashlib.sha256()
    for part in parts:
        for piece in _pieces(part):
            digest.update(len(piece).to_bytes(8, "little") + piece)
    return digest.hexdigest()[:16]


def _pieces(part: str | bytes | Path) -> Iterator[bytes]:
    if isinstance(part, Path):
        files = [part] if part.is_file() else sorted(f for f in part.rglob("*") if f.is_file())
        for file in files:
            if "__pycache__" not in file.parts:
                yield file.relative_to(part.parent).as_posix().encode()
                yield file.read_bytes()
    else:
        yield part.encode() if isinstance(part, str) else part


@contextmanager
def locked(name: str, why: str, places: int = 1) -> Iterator[None]:
    """Hold one of the ``places`` of the lock ``name``; says ``why`` it waits when others have them all."""
    with ExitStack() as stack:
        files = [stack.enter_context((folder() / f"{name}{n}.lock").open("w")) for n in range(places)]
        if not any(_taken(file) for file in files):
            say(why)
            fcntl.flock(files[os.getpid() % places], fcntl.LOCK_EX)
        yield


def _taken(file: TextIO) -> bool:
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


@contextmanager
def own_folder() -> Iterator[Path]:
    """A folder for this process alone, gone afterwards; those of processes that were killed go too."""
    for left in folder().glob("run-*"):
        pid = left.name.split("-")[1]
        if not Path("/proc", pid).exists():
            shutil.rmtree(left, ignore_errors=True)
    with tempfile.TemporaryDirectory(dir=folder(), prefix=f"run-{os.getpid()}-") as path:
        yield Path(path)


def kept(kind: str, key: str, make: Callable[[Path], None]) -> Path:
    """The folder of ``kind`` with ``key``; ``make`` fills it when it is not there yet. Half-made ones never count."""
    done = folder() / f"{kind}-{key}"
    if not done.exists():
        begun = folder() / f"{kind}-{key}.part"
        shutil.rmtree(begun, ignore_errors=True)
        begun.mkdir()
        make(begun)
        begun.rename(done)
        _forget_old(kind)
    os.utime(done)
    return done


def _forget_old(kind: str) -> None:
    for failed in folder().glob(f"{kind}-*.part"):
        shutil.rmtree(failed, ignore_errors=True)
    ours = [p for p in folder().glob(f"{kind}-*") if p.is_dir() and p.suffix != ".part"]
    for old in sorted(ours, key=lambda p: p.stat().st_mtime, reverse=True)[KEPT:]:
        shutil.rmtree(old, ignore_errors=True)
