"""The picture kept for the next start: put up before numpy, YAML and gpiozero are imported.

The file has a line with a checksum of the rest, a few lines of text (what it shows, modeline and ``TV mode``, the
settings it was made under), an empty line, and the frame deflated. It is also what is remembered over a power cut:
format, system, pattern and variant. Written to a temporary name, flushed and renamed, so that a power cut leaves the
old one or the new one; what a worn card gives back otherwise than it was written is not believed.

Everything imported here is cheap, and stays so: a test counts.
"""

import os
import zlib

from appliance.video.modeline import Mode, read_modeline

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from appliance.hardware.screens.protocol import Screen

FILE = "last-picture"
NO_MARK = "none"
"""The mark of settings that cannot be read, or are not there."""
_FIRST_LINE = b"fieldmouse picture 1 %08x\n"
_MOST = 4 * 960 * 738  # bytes: no frame of ours is larger


class KeptPicture:
    """What the file says: ``facts`` by name, and the frame of the mode's size as bytes of little-endian XRGB."""

    __slots__ = ("facts", "mode", "rows")

    def __init__(self, facts: "dict[str, str]", mode: Mode, rows: bytes) -> None:
        self.facts, self.mode, self.rows = facts, mode, rows


def settings_mark(path: str | None) -> str:
    """A mark of the settings file's content; another mark means that the kept picture may no longer be right."""
    try:
        with open(path or "", "rb") as file:
            return f"{zlib.crc32(file.read()):08x}"
    except OSError:
        return NO_MARK


def read_kept(folder: str, mark: str) -> KeptPicture | None:
    """The kept picture, or None when there is none, it is damaged, or it was made under other settings."""
    try:
        with open(os.path.join(folder, FILE), "rb") as file:
            first, _, rest = file.read().partition(b"\n")
        if first + b"\n" != _FIRST_LINE % zlib.crc32(rest):
            return None
        head, _, packed = rest.partition(b"\n\n")
        facts = dict(line.split(": ", 1) for line in head.decode().split("\n"))
        mode = Mode(read_modeline(facts["modeline"]), facts["tv_mode"])
        rows = zlib.decompressobj().decompress(packed, _MOST)
    except (OSError, ValueError, KeyError, zlib.error):
        return None
    good = facts.get("settings") == mark and len(rows) == 4 * mode.modeline.hdisplay * mode.modeline.vdisplay
    return KeptPicture(facts, mode, rows) if good else None


def write_kept(folder: str, facts: "dict[str, str]", mode: Mode, rows: bytes) -> None:
    """Keep ``rows`` with ``facts``; raises ``OSError``, and leaves nothing new, when the folder takes no writing."""
    lines = [f"{name}: {text}" for name, text in facts.items()]
    lines += [f"modeline: {mode.modeline.text()}", f"tv_mode: {mode.tv_mode}"]
    data = "\n".join(lines).encode() + b"\n\n" + zlib.compress(rows, 1)
    new = os.path.join(folder, FILE + ".new")
    try:
        with open(new, "wb") as file:
            file.write(_FIRST_LINE % zlib.crc32(data) + data)
            file.flush()
            os.fsync(file.fileno())
        os.replace(new, os.path.join(folder, FILE))
    except OSError:
        _remove(new)  # on a full card half a picture is only in the way
        raise
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _remove(name: str) -> None:
    try:  # noqa: SIM105 - contextlib is heavy
        os.unlink(name)
    except OSError:  # it was never made, or nothing can be changed there
        pass


def put_up(screen: "Screen", kept: KeptPicture) -> "Any":
    """Show the kept picture; its surface. Raises ``ScreenTrouble``."""
    line = kept.mode.modeline
    surface = screen.surface(kept.rows, line.hdisplay, line.vdisplay)
    screen.start(kept.mode, surface)
    return surface
