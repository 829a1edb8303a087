"""What is being scanned out, read from the kernel behind the back of whoever put it up. Root only."""

import mmap
import os
import zlib
from base64 import b64encode
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from fcntl import ioctl
from pathlib import Path
from typing import Any

from .ioctls import DROP_MASTER, GETCRTC, GETFB2, MAP_DUMB, ask, path, properties, resources, unpack_mode


@contextmanager
def _card() -> Iterator[int]:
    """The card; if nobody held it the role of master came to us, and is given back at once."""
    fd = os.open(path(), os.O_RDWR | os.O_CLOEXEC)
    try:
        with suppress(OSError):
            ioctl(fd, DROP_MASTER)
        yield fd
    finally:
        os.close(fd)


def scanout(pixels: bool = True) -> dict[str, Any]:
    """Modeline, ``TV mode``, framebuffer and window of what is up; the window's rows packed, when ``pixels``.

    The modeline is the nine numbers of the kernel's modeinfo in their usual order and 1 for interlaced; empty when
    nothing is up.
    """
    answer, rows = look(pixels)
    return answer | {"rows": b64encode(zlib.compress(rows, 1)).decode()} if rows else answer


def look(pixels: bool = True) -> tuple[dict[str, Any], bytes]:
    """As :func:`scanout`, the window's rows as they lie in memory: row by row, 4 bytes a sample."""
    with _card() as fd:
        crtcs, connectors = resources(fd)
        found = ask(fd, GETCRTC, "Q7I68s", 0, 0, crtcs[0], 0, 0, 0, 0, 0, b"")
        fb, x, y, valid, mode = found[3], found[4], found[5], found[7], found[8]
        answer = {"fb": fb, "x": x, "y": y, "modeline": unpack_mode(mode) if valid else []}
        answer["tv_mode"] = properties(fd, connectors[0])["TV mode"].text
        if fb:
            answer |= _framebuffer(fd, fb)
        return answer, _rows(fd, answer) if fb and valid and pixels else b""


def _framebuffer(fd: int, fb: int) -> dict[str, int]:
    """GETFB2: size, and handle, pitch and offset of the first plane."""
    found = ask(fd, GETFB2, "5I4I4I4I4x4Q", fb, *[0] * 20)
    return {"width": found[1], "height": found[2], "handle": found[5], "pitch": found[9], "offset": found[13]}


def _rows(fd: int, found: dict[str, Any]) -> bytes:
    """The window of the mode's size onto the framebuffer."""
    width, height = found["modeline"][1], found["modeline"][5]
    pitch, first = found["pitch"], found["offset"] + found["y"] * found["pitch"] + found["x"] * 4
    at = ask(fd, MAP_DUMB, "IIQ", found["handle"], 0, 0)[2]
    end = first + (height - 1) * pitch + width * 4
    with closing(mmap.mmap(fd, -(-end // 4096) * 4096, mmap.MAP_SHARED, mmap.PROT_READ, offset=at)) as memory:
        return b"".join(memory[first + n * pitch : first + n * pitch + width * 4] for n in range(height))


def fields() -> list[list[int]]:
    """The card's log of fields: number, stamp in ns, framebuffer, offset, pitch, x, y, late (0 or 1)."""
    log = Path("/sys/kernel/debug/dri") / path().rsplit("card", 1)[1] / "fields"
    return [[int(word) for word in line.split()] for line in log.read_text().splitlines()[1:]]


def connector(**parameters: str | int) -> None:
    """Change parameters of the composite module while it runs, for example ``status=2``."""
    for name, value in parameters.items():
        Path("/sys/module/composite_lead/parameters", name).write_text(str(value))
