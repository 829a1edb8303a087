"""The two boot files on the card: found, planned as changes, shown as a diff, written so that no power cut harms."""

import contextlib
import difflib
import os
import re
from dataclasses import dataclass
from pathlib import Path

from appliance.errors import Refused
from appliance.install import cmdline_txt, config_txt
from appliance.install.board import Board

FOLDERS = ("boot/firmware", "boot")
"""Where the boot partition is mounted: on Raspberry Pi OS of Debian 12 and later, and before."""

COPY = ".before-fieldmouse"
"""What the name of a kept copy ends with."""


@dataclass(frozen=True)
class Change:
    """A file as it is and as it shall be."""

    path: Path
    before: bytes
    after: bytes

    @property
    def copy(self) -> Path:
        """Where the file as it was is kept."""
        return self.path.with_name(self.path.name + COPY)

    def diff(self) -> str:
        """The change as a unified diff; "" when there is none."""
        lines = difflib.unified_diff(_lines(self.before), _lines(self.after), str(self.path), f"{self.path} (new)")
        return "".join(line if line.endswith("\n") else f"{line}\n\\ no end of line\n" for line in lines)


def _lines(data: bytes) -> list[str]:
    return data.decode("utf-8", "backslashreplace").splitlines(keepends=True)


def find_folder(root: Path) -> Path:
    """The folder of the boot files under ``root``; raises :class:`Refused` where there are none."""
    if not root.is_dir():
        raise Refused(f"{root}: no such folder; name the root of the system, / or where its card is mounted, by --root")
    for folder in FOLDERS:
        if all((root / folder / name).is_file() for name in ("config.txt", "cmdline.txt")):
            return root / folder
    looked = " or ".join(str(root / folder) for folder in FOLDERS)
    raise Refused(f"boot files: no config.txt and cmdline.txt in {looked}; is this a card for a Raspberry Pi?")


def plan_install(root: Path, board: Board, system: str | None) -> list[Change]:
    """What installing changes; without ``system`` the one chosen before stays.

    Raises :class:`Refused` where the files cannot be read, or are not what a system starts with.
    """
    folder = find_folder(root)
    config, cmdline = (_read_text(folder / name) for name in ("config.txt", "cmdline.txt"))
    if not cmdline_txt.has_root(cmdline):
        said = "no root= in its first line, so no system starts with it; put back the line of a card that starts"
        raise Refused(f"{folder / 'cmdline.txt'}:1: {said}")
    return [
        Change(folder / "config.txt", _bytes(config), _bytes(config_txt.merge(config, board))),
        Change(folder / "cmdline.txt", _bytes(cmdline), _bytes(cmdline_txt.merge(cmdline, board.words, system))),
    ]


def kept_system(changes: list[Change]) -> str | None:
    """The colour system that an installation planned without one keeps."""
    return cmdline_txt.chosen_system(_text(changes[1].before))


def plan_uninstall(root: Path) -> list[Change]:
    """What uninstalling changes; raises :class:`Refused` where the files cannot be read."""
    folder = find_folder(root)
    config, cmdline = _read(folder / "config.txt"), _read(folder / "cmdline.txt")
    return [
        Change(folder / "config.txt", config, _bytes(config_txt.unmerge(_text(config)))),
        Change(folder / "cmdline.txt", cmdline, _bytes(cmdline_txt.unmerge(_text(cmdline)))),
    ]


def write_install(changes: list[Change]) -> None:
    """Write the changes, each file's copy first; an older copy, of a file without our marks, stays.

    Raises :class:`Refused` when a file cannot be written; each file is then whole, as it was or as it shall be.
    """
    for change in changes:
        if change.after != change.before and not change.copy.exists():
            _write(change.copy, change.before)
    _write_all(changes)


def write_uninstall(changes: list[Change]) -> list[Path]:
    """Write the changes; copies that say the same are removed. Returns the copies that say something else."""
    _write_all(changes)
    other = []
    for change in changes:
        if change.copy.is_file() and _read(change.copy) == change.after:
            change.copy.unlink()
        elif change.copy.is_file():
            other.append(change.copy)
    return other


def _write_all(changes: list[Change]) -> None:
    for change in changes:
        if change.after != change.before:
            _write(change.path, change.after)


def _text(data: bytes) -> str:
    return data.decode("utf-8", "surrogateescape")


def _bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogateescape")


_NO_TEXT = re.compile(rb"[^\t-\r\x20-\xff]")
"""Bytes that no text has, whatever its coding of letters."""


def _read_text(path: Path) -> str:
    data = _read(path)
    found = _NO_TEXT.search(data)
    if found:
        line = data.count(b"\n", 0, found.start()) + 1
        raise Refused(f"{path}:{line}: byte 0x{found[0][0]:02x} is no text; put back the file of a card that starts")
    return _text(data)


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise Refused(f"{path}: cannot be read: {error.strerror}") from error


def _write(path: Path, data: bytes) -> None:
    """Beside it first, onto the card, then in its place: a power cut leaves the old file or the new one."""
    beside = path.with_name(path.name + ".new")
    try:
        with beside.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
        folder = os.open(path.parent, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
    except OSError as error:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)
        raise Refused(
            f"{path}: cannot be written: {error.strerror}; run it by sudo, on a card that can be written"
        ) from error
