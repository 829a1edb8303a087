"""What the store needs to know of the machine: the boot, the clock, and whether its folder outlives a power cut."""

import re
import time
from pathlib import Path, PurePosixPath

FILE = "records.sqlite"
"""The name of the records in their folder."""

FLEETING = frozenset({"tmpfs", "ramfs", "overlay", "rootfs", "aufs"})
"""File systems that are gone, or may be, with the power: memory, and layers over a card that is never written."""

SYNCHRONISED = Path("/run/systemd/timesync/synchronized")
"""systemd-timesyncd makes this file once it has set the clock (systemd-timesyncd.service(8))."""


def boot_id(path: Path = Path("/proc/sys/kernel/random/boot_id")) -> str:
    """The kernel's name for this boot (random(4)); ``unknown`` where it has none."""
    try:
        return path.read_text("ascii", "replace").strip() or "unknown"
    except OSError:
        return "unknown"


def wall_clock(synchronised: Path = SYNCHRONISED) -> tuple[float, bool]:
    """Wall seconds since 1970, and whether the clock has been set since the box came up."""
    return time.time(), synchronised.exists()


def mounts(path: Path = Path("/proc/self/mountinfo")) -> str:
    """What is mounted where, as the kernel tells it; empty where it does not."""
    try:
        return path.read_text("utf-8", "surrogateescape")
    except OSError:
        return ""


def file_system(mountinfo: str, folder: PurePosixPath) -> str:
    """The kind of file system that holds an absolute folder, ``""`` when the text does not tell.

    ``mountinfo`` is as in proc_pid_mountinfo(5): the mount point is the fifth word, the kind the first after the
    lone hyphen. The longest mount point counts and, of two on one place, the later, which hides the earlier.
    """
    found = (0, "")
    for line in mountinfo.splitlines():
        before, hyphen, after = line.partition(" - ")
        words = before.split(" ")
        if hyphen and len(words) > 4:
            point = PurePosixPath(_unescaped(words[4]))
            if len(point.parts) >= found[0] and folder.is_relative_to(point):
                found = len(point.parts), after.split(" ")[0]
    return found[1]


def nothing_kept(mountinfo: str, folder: PurePosixPath) -> str:
    """Words for the screen when what is written into ``folder`` is gone with the power; else ``""``."""
    kind = file_system(mountinfo, folder)
    return f"nothing will be kept: {folder} is on {kind}, which the power takes along" if kind in FLEETING else ""


def _unescaped(word: str) -> str:
    """The kernel writes space, tab, newline and backslash as a backslash and three octal digits."""
    return re.sub(r"\\([0-7]{3})", lambda octal: chr(int(octal[1], 8)), word)
