"""Small pictures of our own patterns, as data that a page carries within itself."""

import base64
import struct
import zlib
from functools import lru_cache

from appliance.drawing.tube import Bytes, as_on_tube
from appliance.errors import Refused
from appliance.patterns.catalogue import find_pattern
from appliance.video.formats import FORMATS

FORMAT, SHRINK = FORMATS["480i"], 4
"""What it is drawn in, and how many of its square pixels make one: 648 × 486 become 162 × 121."""


@lru_cache(maxsize=128)
def thumbnail(pattern: str, variant: str) -> str:
    """A ``data:`` address of the pattern at 4:3, empty for a pattern that is not in the catalogue (any more)."""
    try:
        entry, name = find_pattern(f"{pattern}:{variant}")
    except Refused:
        return ""
    frame = entry.draw(FORMAT, name).field(0, FORMAT.lines, FORMAT.samples)
    return "data:image/png;base64," + base64.b64encode(png(_shrunk(as_on_tube(frame, FORMAT)))).decode("ascii")


def png(planes: Bytes) -> bytes:
    """A PNG file of ``uint8[height, width, 3]`` (PNG, W3C Recommendation: truecolour, 8 bits, no filter)."""
    height, width = planes.shape[:2]
    rows = b"".join(b"\0" + row.tobytes() for row in planes)
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = (b"IHDR", header), (b"IDAT", zlib.compress(rows, 9)), (b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(name, data) for name, data in chunks)


def _chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def _shrunk(planes: Bytes) -> Bytes:
    """Each square of pixels as its mean; what is left over at the edge is left out."""
    height, width = planes.shape[0] // SHRINK, planes.shape[1] // SHRINK
    squares = planes[: height * SHRINK, : width * SHRINK].reshape(height, SHRINK, width, SHRINK, 3)
    small: Bytes = (squares.mean(axis=(1, 3)) + 0.5).astype("uint8")
    return small
