"""What is being scanned out, read from the kernel behind the back of whoever put it up. Root only."""

import mmap
import os
import struct
import zlib
from base64 import b64encode
from contextlib import closing, contextmanager
from collections.abc import Iterator
from fcntl import ioctl
from pathlib import Path
from typing import Any

# drm/drm.h and drm/drm_mode.h
GETRESOURCES, GETCONNECTOR, GETCRTC, GETFB2, MAP_DUMB = 0xC04064A0, 0xC05064A7, 0xC06864A1, 0xC06864CE, 0xC01064B3
OBJ_GETPROPERTIES, GETPROPERTY, DROP_MASTER = 0xC02064B9, 0xC04064AA, 0x641F
CONNECTOR_COMPOSITE, OBJECT_CONNECTOR, INTERLACED = 5, 0xC0C0C0C0, 16


def _ask(fd: int, number: int, layout: str, *values: Any) -> tuple[Any, ...]:
    data = bytearray(struct.pack(layout, *values))
    ioctl(fd, number, data)
    return struct.unpack(layout, data)


def _array(count: int, kind: str = "I") -> tuple[bytearray, int]:
    import ctypes

    data = bytearray(max(count, 1) * struct.calcsize(kind))
    return data, ctypes.addressof((ctypes.c_char * len(data)).from_buffer(data))


@contextmanager
def _card() -> Iterator[int]:
    """The card; if nobody held it the role of master came to us, and is given back at once."""
    fd = os.open(path(), os.O_RDWR | os.O_CLOEXEC)
    try:
        try:
            ioctl(fd, DROP_MASTER)
        except OSError:
            pass
        yield fd
    finally:
        os.close(fd)


def path() -> str:
    """The card that has a Composite connector."""
    for connector in sorted(Path("/sys/class/drm").glob("card*-Composite-*")):
        return f"/dev/dri/{connector.name.split('-')[0]}"
    raise FileNotFoundError("no card with a Composite connector")


def _resources(fd: int) -> tuple[list[int], list[int]]:
    """CRTC and connector numbers."""
    counts = _ask(fd, GETRESOURCES, "4Q8I", *[0] * 12)[4:8]
    arrays = [_array(n) for n in counts]
    _ask(fd, GETRESOURCES, "4Q8I", *[address for _, address in arrays], *counts, 0, 0, 0, 0)
    lists = [list(struct.unpack(f"{n}I", data[: 4 * n])) for (data, _), n in zip(arrays, counts, strict=True)]
    return lists[1], lists[2]


def properties(fd: int, number: int, kind: int = OBJECT_CONNECTOR) -> dict[str, str | int]:
    """The properties of an object by name; a value of a list of names comes as its name."""
    count = _ask(fd, OBJ_GETPROPERTIES, "QQIIII", 0, 0, 0, number, kind, 0)[2]
    (ids, ids_at), (values, values_at) = _array(count), _array(count, "Q")
    _ask(fd, OBJ_GETPROPERTIES, "QQIIII", ids_at, values_at, count, number, kind, 0)
    pairs = zip(struct.unpack(f"{count}I", ids), struct.unpack(f"{count}Q", values), strict=True)
    return dict(_property(fd, prop, value) for prop, value in pairs)


def _property(fd: int, number: int, value: int) -> tuple[str, str | int]:
    layout = "QQII32sII"
    found = _ask(fd, GETPROPERTY, layout, 0, 0, number, 0, b"", 0, 0)
    name, values, names = found[4].rstrip(b"\0").decode(), found[5], found[6]
    if not found[3] & 8:  # DRM_MODE_PROP_ENUM
        return name, value
    (_, values_at), (data, data_at) = _array(values, "Q"), _array(names, "Q32s")
    _ask(fd, GETPROPERTY, layout, values_at, data_at, number, 0, b"", values, names)
    by_value = {v: n.rstrip(b"\0").decode() for v, n in struct.iter_unpack("Q32s", data)}
    return name, by_value.get(value, value)


def scanout(pixels: bool = True) -> dict[str, Any]:
    """Modeline, ``TV mode``, framebuffer and window of what is up; the window's rows packed, when ``pixels``.

    The modeline is the nine numbers of the kernel's modeinfo in their usual order and 1 for interlaced; empty when
    nothing is up.
    """
    with _card() as fd:
        crtcs, connectors = _resources(fd)
        found = _ask(fd, GETCRTC, "Q7I68s", 0, 0, crtcs[0], 0, 0, 0, 0, 0, b"")
        fb, x, y, valid, mode = found[3], found[4], found[5], found[7], found[8]
        answer = {"fb": fb, "x": x, "y": y, "modeline": _modeline(mode) if valid else [],
                  "tv_mode": properties(fd, connectors[0]).get("TV mode")}  # fmt: skip
        if fb:
            answer |= _framebuffer(fd, fb)
        if fb and valid and pixels:
            answer["rows"] = _rows(fd, answer)
        return answer


def _modeline(mode: bytes) -> list[int]:
    clock, *rest = struct.unpack("I10HII", mode[:32])
    h, v = rest[0:4], rest[5:9]
    return [clock, *h, *v, int(bool(rest[11] & INTERLACED))]


def _framebuffer(fd: int, fb: int) -> dict[str, int]:
    """GETFB2: size, and handle, pitch and offset of the first plane."""
    found = _ask(fd, GETFB2, "5I4I4I4I4x4Q", fb, *[0] * 20)
    return {"width": found[1], "height": found[2], "handle": found[5], "pitch": found[9], "offset": found[13]}


def _rows(fd: int, found: dict[str, Any]) -> str:
    """The window of the mode's size onto the framebuffer, row by row, 4 bytes a sample."""
    width, height = found["modeline"][1], found["modeline"][5]
    pitch, first = found["pitch"], found["offset"] + found["y"] * found["pitch"] + found["x"] * 4
    at = _ask(fd, MAP_DUMB, "IIQ", found["handle"], 0, 0)[2]
    end = first + (height - 1) * pitch + width * 4
    with closing(mmap.mmap(fd, -(-end // 4096) * 4096, mmap.MAP_SHARED, mmap.PROT_READ, offset=at)) as memory:
        rows = b"".join(memory[first + n * pitch : first + n * pitch + width * 4] for n in range(height))
    return b64encode(zlib.compress(rows, 1)).decode()


def fields() -> list[list[int]]:
    """The card's log of fields: number, stamp in ns, framebuffer, offset, pitch, x, y, late (0 or 1)."""
    log = Path("/sys/kernel/debug/dri") / path().rsplit("card", 1)[1] / "fields"
    return [[int(word) for word in line.split()] for line in log.read_text().splitlines()[1:]]


def connector(**parameters: str | int) -> None:
    """Change parameters of the composite module while it runs, for example ``status=2``."""
    for name, value in parameters.items():
        Path("/sys/module/composite_lead/parameters", name).write_text(str(value))
