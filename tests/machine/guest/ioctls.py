"""The kernel's display interface: numbers and layouts of drm/drm.h and drm/drm_mode.h, asked for by bare ioctls."""

import ctypes
import struct
from fcntl import ioctl
from pathlib import Path
from typing import Any

GETRESOURCES, GETCONNECTOR, GETCRTC, GETFB2, MAP_DUMB = 0xC04064A0, 0xC05064A7, 0xC06864A1, 0xC06864CE, 0xC01064B3
OBJ_GETPROPERTIES, GETPROPERTY, OBJ_SETPROPERTY, DROP_MASTER = 0xC02064B9, 0xC04064AA, 0xC01864BA, 0x641F
SETCRTC, CREATE_DUMB, ADDFB, PAGE_FLIP = 0xC06864A2, 0xC02064B2, 0xC01C64AE, 0xC01864B0
OBJECT_CONNECTOR, INTERLACED, PROPERTY_IS_ENUM, FLIP_EVENT = 0xC0C0C0C0, 16, 8, 1


def ask(fd: int, number: int, layout: str, *values: Any) -> tuple[Any, ...]:
    """Ask by a structure of ``layout``; what the kernel made of it. Raises OSError with the kernel's code."""
    data = bytearray(struct.pack(layout, *values))
    ioctl(fd, number, data)
    return struct.unpack(layout, data)


def array(count: int, kind: str = "I") -> tuple[bytearray, int]:
    """Room for ``count`` things of layout ``kind``, and its address."""
    data = bytearray(count * struct.calcsize(kind) or 1)
    return data, ctypes.addressof((ctypes.c_char * len(data)).from_buffer(data))


def path() -> str:
    """The card that has a Composite connector."""
    for connector in sorted(Path("/sys/class/drm").glob("card*-Composite-*")):
        return f"/dev/dri/{connector.name.split('-')[0]}"
    raise FileNotFoundError("no card with a Composite connector")


def resources(fd: int) -> tuple[list[int], list[int]]:
    """CRTC and connector numbers."""
    counts = ask(fd, GETRESOURCES, "4Q8I", *[0] * 12)[4:8]
    arrays = [array(n) for n in counts]
    ask(fd, GETRESOURCES, "4Q8I", *[address for _, address in arrays], *counts, 0, 0, 0, 0)
    lists = [list(struct.unpack(f"{n}I", data[: 4 * n])) for (data, _), n in zip(arrays, counts, strict=True)]
    return lists[1], lists[2]


class Property:
    """A property of the connector: its number, its value now, and its names by value if it is a choice of names."""

    def __init__(self, fd: int, number: int, value: int) -> None:
        layout = "QQII32sII"
        found = ask(fd, GETPROPERTY, layout, 0, 0, number, 0, b"", 0, 0)
        self.number, self.value, self.name = number, value, found[4].rstrip(b"\0").decode()
        self.names: dict[int, str] = {}
        if found[3] & PROPERTY_IS_ENUM:
            (_, values_at), (data, data_at) = array(found[5], "Q"), array(found[6], "Q32s")
            ask(fd, GETPROPERTY, layout, values_at, data_at, number, 0, b"", found[5], found[6])
            self.names = {v: n.rstrip(b"\0").decode() for v, n in struct.iter_unpack("Q32s", data)}

    @property
    def text(self) -> str:
        """The value as its name, or as a number."""
        return self.names.get(self.value, str(self.value))


def properties(fd: int, connector: int) -> dict[str, Property]:
    """The connector's properties by name."""
    count = ask(fd, OBJ_GETPROPERTIES, "QQIIII", 0, 0, 0, connector, OBJECT_CONNECTOR, 0)[2]
    (ids, ids_at), (values, values_at) = array(count), array(count, "Q")
    ask(fd, OBJ_GETPROPERTIES, "QQIIII", ids_at, values_at, count, connector, OBJECT_CONNECTOR, 0)
    pairs = zip(struct.unpack(f"{count}I", ids), struct.unpack(f"{count}Q", values), strict=True)
    return {p.name: p for p in (Property(fd, number, value) for number, value in pairs)}


def pack_mode(modeline: list[int]) -> bytes:
    """The kernel's modeinfo from the nine numbers in their usual order and 1 for interlaced."""
    clock, *rest = modeline
    h, v, interlaced = rest[0:4], rest[4:8], rest[8]
    return struct.pack("I10HIII32s", clock, *h, 0, *v, 0, 0, INTERLACED if interlaced else 0, 0, b"test")


def unpack_mode(mode: bytes) -> list[int]:
    """The other way round."""
    clock, *rest = struct.unpack("I10HII", mode[:32])
    return [clock, *rest[0:4], *rest[5:9], int(bool(rest[11] & INTERLACED))]
