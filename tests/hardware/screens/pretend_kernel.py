"""A kernel with a composite card, in memory, as unkind as the real one: for tests without a device.

Checked against what a real kernel answered: second flip before the event EBUSY, a mode outside the encoder's bounds
EINVAL, a picture smaller than the mode ENOSPC (before the encoder is asked), not the master EACCES, a colour system
that does not go with the running line EINVAL, the framebuffer on the screen removed: dark. A card stays taken until
its mappings are gone too.
"""

from __future__ import annotations

import ctypes
import errno
import mmap
import os
from dataclasses import dataclass, field
from typing import Any

from tests.hardware.screens.kernel_structures import BY_NUMBER, FlipEvent, ModeInfo, PropertyEnum, get, put

CRTC, CONNECTOR, PLANE = 0xCCCCCCCC, 0xC0C0C0C0, 0xEEEEEEEE
TV_MODES = ("NTSC", "NTSC-443", "NTSC-J", "PAL", "PAL-M", "PAL-N", "SECAM", "Mono")
_ENUM, _ATOMIC_ONLY = 1 << 3, 1 << 31
# Drivers/gpu/drm/vc4/vc4_vec.c: by htotal, lines of a field, lines shown, back porch, colour systems.
_BOUNDS = {
    858: (262, 253, 4, {"NTSC", "NTSC-443", "NTSC-J", "PAL", "PAL-M", "Mono"}),
    864: (312, 305, 2, {"PAL", "PAL-N", "SECAM", "Mono"}),
}


def fail(number: int) -> OSError:
    """The error a system call gives."""
    return OSError(number, os.strerror(number))


@dataclass
class State:
    """What a commit changes: the mode that runs (None: off), the colour system, the framebuffer."""

    mode: Any = None
    tv: int = 0
    frame: int = 0


@dataclass
class File:
    """One opening of a card."""

    card: PretendCard
    reader: int
    writer: int
    atomic: bool = False
    was_master: bool = False
    maps: list[mmap.mmap] = field(default_factory=list)
    shut: bool = False

    def release(self) -> bool:
        """Whether nothing holds the card through this opening any more."""
        return self.shut and all(m.closed for m in self.maps)


class PretendCard:
    """One graphics card: a composite connector (or another kind) behind one CRTC and one primary plane.

    CRTC 41 and plane 31 belong to an HDMI connector beside it that nobody may touch.
    """

    def __init__(
        self,
        *,
        kind: int = 5,
        status: int = 3,
        atomic: bool = True,
        tv_property: str = "TV mode",
        tv_modes: tuple[str, ...] = TV_MODES,
        opening: int = 0,
    ) -> None:
        self.kind, self.status, self.atomic, self.opening = kind, status, atomic, opening
        self.tv_modes, self.state = tv_modes, State(tv=tv_modes.index("NTSC") if "NTSC" in tv_modes else 0)
        self.master: File | None = None
        self.files: list[File] = []
        self.gone = False
        self.refuse_atomic = self.sticky = False
        self.lose = 0
        self.calls: list[int] = []
        self.probes: list[int] = []
        self.commits: list[State] = []
        self.buffers: dict[int, tuple[int, int, mmap.mmap]] = {}  # handle: pitch, size, memory
        self.frames: dict[int, tuple[int, int, int, int]] = {}  # id: width, height, handle, offset
        self.blobs: dict[int, bytes] = {}
        self.pending: tuple[File, int, int] | None = None
        self.now, self.origin, self.number, self._last = 100.0, 100.0, 0, 1000
        self.margins = {20: 3, 21: 3, 22: 3, 23: 3}
        self.properties: dict[int, tuple[str, int]] = {
            10: ("CRTC_ID", _ATOMIC_ONLY),
            11: (tv_property, _ENUM),
            **{20 + n: (f"{side} margin", 1 << 1) for n, side in enumerate(("left", "right", "top", "bottom"))},
            12: ("MODE_ID", _ATOMIC_ONLY),
            13: ("ACTIVE", _ATOMIC_ONLY),
            14: ("type", _ENUM),
            15: ("FB_ID", _ATOMIC_ONLY),
            16: ("CRTC_ID", _ATOMIC_ONLY),
            **{50 + n: (w, _ATOMIC_ONLY) for n, w in enumerate(["SRC_X", "SRC_Y", "SRC_W", "SRC_H"])},
            **{60 + n: (w, _ATOMIC_ONLY) for n, w in enumerate(["CRTC_X", "CRTC_Y", "CRTC_W", "CRTC_H"])},
        }

    def fresh(self) -> int:
        """An id nobody has yet."""
        self._last += 1
        return self._last

    @property
    def field_time(self) -> float:
        """Seconds of a field of the mode that runs."""
        mode = self.state.mode
        return float(mode.htotal * mode.vtotal / mode.clock / 1000 / (2 if mode.flags >> 4 & 1 else 1))

    def advance(self, seconds: float) -> None:
        """Let time pass; a flip whose field begins in it is done and tells its opener."""
        end = self.now + seconds
        if self.pending and self.state.mode is not None:
            fields = int((self.now - self.origin) / self.field_time + 1e-6) + 1
            start = self.origin + fields * self.field_time
            if start <= end:
                self.now = start
                self._flipped(start, fields)
        self.now = end

    def _flipped(self, start: float, fields: int) -> None:
        assert self.pending
        file, token, frame = self.pending
        self.pending, self.state.frame = None, frame
        if self.lose:
            self.lose -= 1
            return
        micros = int(start * 1e6)
        event = FlipEvent(2, ctypes.sizeof(FlipEvent), token, micros // 10**6, micros % 10**6, fields, 40)
        os.write(file.writer, bytes(event))

    def picture(self) -> bytes | None:
        """What is scanned out: the words of the active lines; None when dark."""
        if self.state.mode is None or self.state.frame not in self.frames:
            return None
        width, height, handle, offset = self.frames[self.state.frame]
        pitch, _, memory = self.buffers[handle]
        mode = self.state.mode
        assert width >= mode.hdisplay
        assert height >= mode.vdisplay
        starts = [offset + line * pitch for line in range(mode.vdisplay)]
        return b"".join(memory[start : start + 4 * mode.hdisplay] for start in starts)

    def check(self, state: State) -> None:
        """What the core and the encoder say to a state; raises ``OSError``."""
        if state.mode is None:
            return
        mode, half = state.mode, 2 if state.mode.flags >> 4 & 1 else 1
        if state.frame not in self.frames:
            raise fail(errno.ENOENT)
        width, height, *_ = self.frames[state.frame]
        if width < mode.hdisplay or height < mode.vdisplay:
            raise fail(errno.ENOSPC)
        lines, shown, porch, systems = _BOUNDS.get(mode.htotal, (0, 0, 0, set()))
        v = [timing // half for timing in (mode.vdisplay, mode.vsync_start, mode.vsync_end, mode.vtotal)]
        good = (
            mode.clock == 13500
            and mode.hdisplay % 4 == 0
            and mode.hsync_end > mode.hsync_start
            and v[3] == lines
            and 1 <= v[0] <= shown
            and v[1] - v[0] >= 1
            and v[2] - v[1] == 3
            and v[3] - v[2] >= porch
            and self.tv_modes[state.tv] in systems
        )
        if not good:
            raise fail(errno.EINVAL)

    def apply(self, state: State) -> None:
        """Make it so, as a blocking commit: an earlier flip comes first, a changed mode starts its fields anew."""
        if self.pending:
            self.advance(self.field_time)
        changed = state.mode is not None and bytes(state.mode) != bytes(self.state.mode or ModeInfo())
        self.state = state
        self.commits.append(State(state.mode, state.tv, state.frame))
        if changed:
            self.now += 0.02
            self.origin = self.now


class PretendKernel:
    """The system calls on pretend cards, by path."""

    def __init__(self, root: bool = False, **cards: PretendCard) -> None:
        self.by_path = {f"/dev/dri/{name}": card for name, card in cards.items()}
        self.root = root
        self.files: dict[int, File] = {}
        self._maps: dict[int, tuple[PretendCard, int]] = {}

    def cards(self, folder: str) -> list[str]:
        """Paths of the cards."""
        return [path for path in sorted(self.by_path) if path.startswith(folder)]

    def open(self, path: str) -> int:
        """Open a card; the first opener is master."""
        card = self.by_path[path]
        if card.opening:
            raise fail(card.opening)
        reader, writer = os.pipe2(os.O_NONBLOCK | os.O_CLOEXEC)
        file = self.files[reader] = File(card, reader, writer)
        self._release(card)
        card.files.append(file)
        if card.master is None:
            card.master, file.was_master = file, True
        return reader

    def _release(self, card: PretendCard) -> None:
        card.files = [file for file in card.files if not file.release()]
        if card.master not in card.files:
            card.master = None
        if not card.files:
            card.state.mode = None

    def close(self, fd: int) -> None:
        """Close an opening; what is mapped still holds the card."""
        file = self.files.pop(fd)
        file.shut = True
        os.close(file.reader)
        os.close(file.writer)
        self._release(file.card)

    def map(self, fd: int, size: int, offset: int) -> mmap.mmap:
        """The memory of a buffer."""
        card, handle = self._maps[offset]
        assert size == card.buffers[handle][1]
        memory = card.buffers[handle][2]
        self.files[fd].maps.append(memory)
        return memory

    def read(self, fd: int, size: int) -> bytes:
        """Events."""
        assert size >= ctypes.sizeof(FlipEvent)
        return os.read(fd, size)

    def wait(self, fd: int, seconds: float) -> bool:
        """Let the time pass."""
        self.files[fd].card.advance(seconds)
        return True

    def ioctl(self, fd: int, number: int, data: bytearray) -> None:
        """One call; raises ``OSError``."""
        file = self.files[fd]
        kind = BY_NUMBER[number & 0xFF]
        assert number >> 16 & 0x3FFF == ctypes.sizeof(kind) == len(data), kind
        file.card.calls.append(number & 0xFF)
        if file.card.gone:
            raise fail(errno.ENODEV)
        getattr(self, f"_{kind.__name__.lower()}_{number & 0xFF:02x}")(file, kind.from_buffer(data) if data else None)

    # Whose turn it is

    def _setmaster_1e(self, file: File, _: Any) -> None:
        if file.card.master is file:
            return
        if not self.root and not file.was_master:
            raise fail(errno.EACCES)
        if file.card.master:
            raise fail(errno.EBUSY)
        file.card.master = file

    def _dropmaster_1f(self, file: File, _: Any) -> None:
        self._master(file)
        file.card.master = None

    def _master(self, file: File) -> None:
        if file.card.master is not file:
            raise fail(errno.EACCES)

    # What there is

    def _version_00(self, _: File, a: Any) -> None:
        name = b"pretend"
        ctypes.memmove(a.name, name, min(a.name_len, len(name))) if a.name else None
        a.name_len = len(name)

    def _getcap_0c(self, _: File, a: Any) -> None:
        a.value = int(a.capability == 6)

    def _setclientcap_0d(self, file: File, a: Any) -> None:
        if a.capability == 3 and not file.card.atomic:
            raise fail(errno.EOPNOTSUPP)
        file.atomic = True

    def _resources_a0(self, _: File, a: Any) -> None:
        for kind, ids in {"crtc": [41, 40], "connector": [51, 42], "encoder": [46, 45]}.items():
            put(getattr(a, f"{kind}_id_ptr"), getattr(a, f"count_{kind}s"), ids)
            setattr(a, f"count_{kind}s", len(ids))
        a.count_fbs = 0

    def _crtc_a1(self, file: File, a: Any) -> None:
        a.mode_valid = 1 if a.crtc_id == 41 else int(file.card.state.mode is not None)

    def _encoder_a6(self, _: File, a: Any) -> None:
        a.crtc_id, a.possible_crtcs = (0, 0b11) if a.encoder_id == 45 else (41, 0b01)

    def _connector_a7(self, file: File, a: Any) -> None:
        if a.count_modes == 0 and file.card.master is file:
            file.card.probes.append(a.connector_id)
        ours = a.connector_id == 42
        put(a.encoders_ptr, a.count_encoders, [45 if ours else 46])
        modes = [ModeInfo(clock=13500, hdisplay=720, vdisplay=480, name=b"720x480i")] if ours else []
        if modes and a.count_modes >= len(modes):
            ctypes.memmove(a.modes_ptr, bytes(modes[0]), ctypes.sizeof(ModeInfo))
        a.count_modes, a.count_encoders, a.count_props, a.encoder_id = len(modes), 1, 0, 0
        a.connector_type, a.connection = (file.card.kind, file.card.status) if ours else (11, 2)
        a.connector_type_id = 1

    def _planeresources_b5(self, file: File, a: Any) -> None:
        planes = [32, 31, 30] if file.atomic else [32]
        put(a.plane_id_ptr, a.count_planes, planes)
        a.count_planes = len(planes)

    def _plane_b6(self, _: File, a: Any) -> None:
        a.possible_crtcs = 0b01 if a.plane_id == 31 else 0b10
        a.crtc_id = 41 if a.plane_id == 31 else 0

    # Properties

    def _object(self, file: File, number: int) -> dict[int, int]:
        card, state = file.card, file.card.state
        planes = {30: 1, 31: 1, 32: 0}
        if number == 42:
            values = {10: 40 if state.mode else 0, 11: state.tv, **card.margins}
        elif number in planes:
            values = {14: planes[number], 15: state.frame, 16: 0, **{n + m: 0 for n in (50, 60) for m in range(4)}}
        else:
            values = {12: 0, 13: int(state.mode is not None)} if number == 40 else {}
        return {n: v for n, v in values.items() if file.atomic or not card.properties[n][1] & _ATOMIC_ONLY}

    def _getproperties_b9(self, file: File, a: Any) -> None:
        values = self._object(file, a.obj_id)
        put(a.props_ptr, a.count_props, list(values))
        put(a.prop_values_ptr, a.count_props, list(values.values()), ctypes.c_uint64)
        a.count_props = len(values)

    def _property_aa(self, file: File, a: Any) -> None:
        name, a.flags = file.card.properties[a.prop_id]
        a.name = name.encode()
        values = ("Overlay", "Primary", "Cursor") if a.prop_id == 14 else file.card.tv_modes
        if a.flags & _ENUM:
            if a.count_enum_blobs >= len(values):
                data = b"".join(bytes(PropertyEnum(n, v.encode())) for n, v in enumerate(values))
                ctypes.memmove(a.enum_blob_ptr, data, len(data))
            a.count_enum_blobs = len(values)

    def _setproperty_ba(self, file: File, a: Any) -> None:
        self._master(file)
        assert (a.obj_id, a.obj_type) == (42, CONNECTOR)
        if a.prop_id in file.card.margins:
            file.card.margins[a.prop_id] = a.value
            return
        state = State(file.card.state.mode, a.value, file.card.state.frame)
        file.card.check(state)
        file.card.apply(state)

    def _createblob_bd(self, file: File, a: Any) -> None:
        a.blob_id = file.card.fresh()
        file.card.blobs[a.blob_id] = ctypes.string_at(a.data, a.length)

    def _destroyblob_be(self, file: File, a: Any) -> None:
        del file.card.blobs[a.blob_id]

    # Memory and framebuffers

    def _createdumb_b2(self, file: File, a: Any) -> None:
        a.handle, a.pitch = file.card.fresh(), (a.width * a.bpp // 8 + 255) & ~255
        a.size = (a.pitch * a.height + 4095) & ~4095
        file.card.buffers[a.handle] = a.pitch, a.size, mmap.mmap(-1, a.size)

    def _mapdumb_b3(self, file: File, a: Any) -> None:
        a.offset = a.handle << 32
        self._maps[a.offset] = file.card, a.handle

    def _destroydumb_b4(self, file: File, a: Any) -> None:
        del file.card.buffers[a.handle]

    def _addframe_b8(self, file: File, a: Any) -> None:
        pitch, size, _ = file.card.buffers[a.handles[0]]
        last = a.offsets[0] + (a.height - 1) * a.pitches[0] + 4 * a.width
        if a.pitches[0] != pitch or last > size or a.width > 960 or a.height > 738:
            raise fail(errno.EINVAL)
        assert a.pixel_format == int.from_bytes(b"XR24", "little")
        a.fb_id = file.card.fresh()
        file.card.frames[a.fb_id] = a.width, a.height, a.handles[0], a.offsets[0]

    def _removeframe_af(self, file: File, a: Any) -> None:
        del file.card.frames[a.fb_id]
        if a.fb_id == file.card.state.frame:
            file.card.state.mode = None  # the screen goes dark

    # Setting modes and flipping

    def _crtc_a2(self, file: File, a: Any) -> None:
        self._master(file)
        assert a.crtc_id == 40
        state = State(None, file.card.state.tv, 0)
        if a.mode_valid:
            assert get(a.set_connectors_ptr, a.count_connectors) == [42]
            state = State(ModeInfo.from_buffer_copy(bytes(a.mode)), state.tv, a.fb_id)
        file.card.check(state)
        file.card.apply(state)

    def _atomic_bc(self, file: File, a: Any) -> None:
        self._master(file)
        if not file.atomic or a.reserved or (a.flags & 0x101) == 0x101 or file.card.refuse_atomic:
            raise fail(errno.EINVAL)
        counts = get(a.count_props_ptr, a.count_objs)
        objects = [number for number, n in zip(get(a.objs_ptr, a.count_objs), counts, strict=True) for _ in range(n)]
        names, values = get(a.props_ptr, sum(counts)), get(a.prop_values_ptr, sum(counts), ctypes.c_uint64)
        state = self._asked(file.card, dict(zip(zip(objects, names, strict=True), values, strict=True)))
        file.card.check(state)
        if a.flags & 0x100:
            return
        if not a.flags & 0x400:
            raise fail(errno.EINVAL)
        file.card.apply(state)
        if a.flags & 1:
            file.card.pending = file, a.user_data, state.frame

    def _asked(self, card: PretendCard, asked: dict[tuple[int, int], int]) -> State:
        """The state that a commit asks for; whatever it names must exist and fit together."""
        if asked.get((42, 10)) != 40 or asked.get((30, 16)) != 40 or asked.get((40, 13)) != 1:
            raise fail(errno.EINVAL)
        mode = ModeInfo.from_buffer_copy(card.blobs[asked[40, 12]])
        size = mode.hdisplay, mode.vdisplay
        assert [asked[30, 50 + n] for n in range(4)] == [0, 0, size[0] << 16, size[1] << 16]
        assert [asked[30, 60 + n] for n in range(4)] == [0, 0, *size]
        card.margins.update({n: asked[42, n] for n in card.margins if (42, n) in asked})
        return State(mode, asked.get((42, 11), card.state.tv), asked[30, 15])

    def _pageflip_b0(self, file: File, a: Any) -> None:
        self._master(file)
        card = file.card
        if card.pending:
            raise fail(errno.EBUSY)
        if card.sticky:  # the commit before is not quite cleaned up
            card.sticky = False
            raise fail(errno.EBUSY)
        if card.state.mode is None or a.flags != 1 or a.reserved:
            raise fail(errno.EINVAL)
        card.check(State(card.state.mode, card.state.tv, a.fb_id))
        card.pending = file, a.user_data, a.fb_id
