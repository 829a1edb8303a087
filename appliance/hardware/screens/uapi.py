"""The kernel's mode-setting interface as its headers give it: calls, structures, constants.

Field names, sizes and numbers are those of the uAPI headers ``drm/drm.h`` and ``drm/drm_mode.h``; a test compiles a
C program against them and compares every size, offset and number.
"""

from __future__ import annotations

import struct

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


class Layout:
    """A C structure of the uAPI: its C name and, as ``name:code`` words, its fields with their :mod:`struct` codes."""

    __slots__ = ("_blank", "c_name", "fields", "packing", "shape")

    def __init__(self, c_name: str, fields: str) -> None:
        words = [word.partition(":") for word in fields.split()]
        self.c_name, self.packing = c_name, [code for _, _, code in words]
        self.fields = [name for name, _, _ in words if name]
        # Native alignment, so that 32-bit machines are served as their C compiler would.
        self.shape = struct.Struct("@" + "".join(self.packing))
        self._blank: dict[str, Any] | None = None

    @property
    def size(self) -> int:
        """Bytes."""
        return self.shape.size

    def pack(self, **given: int | bytes) -> bytearray:
        """The structure with the fields given; the others are 0."""
        if self._blank is None:  # made once, when first needed: this runs every field
            self._blank = self.unpack(bytes(self.size))
        return bytearray(self.shape.pack(*{**self._blank, **given}.values()))

    def unpack(self, data: bytes | bytearray | memoryview) -> dict[str, Any]:
        """The fields by name: numbers, and bytes for texts and structures within."""
        return dict(zip(self.fields, self.shape.unpack(data), strict=True))


class Call(Layout):
    """One ioctl of a card: its number follows from direction, size and ``nr``, as the C macros make it."""

    __slots__ = ("number",)

    def __init__(self, nr: int, c_name: str, fields: str, direction: int = 3) -> None:
        super().__init__(c_name, fields)
        self.number = direction << 30 | self.size << 16 | ord("d") << 8 | nr


MODEINFO = Layout(
    "drm_mode_modeinfo",
    "clock:I hdisplay:H hsync_start:H hsync_end:H htotal:H hskew:H"
    " vdisplay:H vsync_start:H vsync_end:H vtotal:H vscan:H vrefresh:I flags:I type:I name:32s",
)
ENUM = Layout("drm_mode_property_enum", "value:Q name:32s")
EVENT = Layout("drm_event_vblank", "base:Q user_data:Q tv_sec:I tv_usec:I sequence:I crtc_id:I")
EVENT_HEAD = Layout("drm_event", "type:I length:I")

VERSION = Call(
    0x00,
    "drm_version",
    "version_major:i version_minor:i version_patchlevel:i name_len:N name:P date_len:N date:P desc_len:N desc:P",
)
GET_CAP = Call(0x0C, "drm_get_cap", "capability:Q value:Q")
SET_CLIENT_CAP = Call(0x0D, "drm_set_client_cap", "capability:Q value:Q", direction=1)
SET_MASTER = Call(0x1E, "", "", direction=0)
DROP_MASTER = Call(0x1F, "", "", direction=0)
GETRESOURCES = Call(
    0xA0,
    "drm_mode_card_res",
    "fb_id_ptr:Q crtc_id_ptr:Q connector_id_ptr:Q encoder_id_ptr:Q count_fbs:I count_crtcs:I count_connectors:I"
    " count_encoders:I min_width:I max_width:I min_height:I max_height:I",
)
_CRTC = "set_connectors_ptr:Q count_connectors:I crtc_id:I fb_id:I x:I y:I gamma_size:I mode_valid:I mode:68s"
GETCRTC = Call(0xA1, "drm_mode_crtc", _CRTC)
SETCRTC = Call(0xA2, "drm_mode_crtc", _CRTC)
GETENCODER = Call(
    0xA6, "drm_mode_get_encoder", "encoder_id:I encoder_type:I crtc_id:I possible_crtcs:I possible_clones:I"
)
GETCONNECTOR = Call(
    0xA7,
    "drm_mode_get_connector",
    "encoders_ptr:Q modes_ptr:Q props_ptr:Q prop_values_ptr:Q count_modes:I count_props:I count_encoders:I"
    " encoder_id:I connector_id:I connector_type:I connector_type_id:I connection:I mm_width:I mm_height:I"
    " subpixel:I pad:I",
)
GETPROPERTY = Call(
    0xAA,
    "drm_mode_get_property",
    "values_ptr:Q enum_blob_ptr:Q prop_id:I flags:I name:32s count_values:I count_enum_blobs:I",
)
RMFB = Call(0xAF, "", "fb_id:I")
PAGE_FLIP = Call(0xB0, "drm_mode_crtc_page_flip", "crtc_id:I fb_id:I flags:I reserved:I user_data:Q")
CREATE_DUMB = Call(0xB2, "drm_mode_create_dumb", "height:I width:I bpp:I flags:I handle:I pitch:I size:Q")
MAP_DUMB = Call(0xB3, "drm_mode_map_dumb", "handle:I pad:I offset:Q")
DESTROY_DUMB = Call(0xB4, "drm_mode_destroy_dumb", "handle:I")
GETPLANERESOURCES = Call(0xB5, "drm_mode_get_plane_res", "plane_id_ptr:Q count_planes:I :0Q")
GETPLANE = Call(
    0xB6,
    "drm_mode_get_plane",
    "plane_id:I crtc_id:I fb_id:I possible_crtcs:I gamma_size:I count_format_types:I format_type_ptr:Q",
)
ADDFB2 = Call(  # arrays of four, of which a picture in one plane of memory uses the first
    0xB8,
    "drm_mode_fb_cmd2",
    "fb_id:I width:I height:I pixel_format:I flags:I handles:I12x pitches:I12x offsets:I12x modifier:Q24x",
)
OBJ_GETPROPERTIES = Call(
    0xB9, "drm_mode_obj_get_properties", "props_ptr:Q prop_values_ptr:Q count_props:I obj_id:I obj_type:I :0Q"
)
OBJ_SETPROPERTY = Call(0xBA, "drm_mode_obj_set_property", "value:Q prop_id:I obj_id:I obj_type:I :0Q")
ATOMIC = Call(
    0xBC,
    "drm_mode_atomic",
    "flags:I count_objs:I objs_ptr:Q count_props_ptr:Q props_ptr:Q prop_values_ptr:Q reserved:Q user_data:Q",
)
CREATEPROPBLOB = Call(0xBD, "drm_mode_create_blob", "data:Q length:I blob_id:I")
DESTROYPROPBLOB = Call(0xBE, "drm_mode_destroy_blob", "blob_id:I")

CAP_DUMB_BUFFER, CAP_TIMESTAMP_MONOTONIC = 0x1, 0x6
CLIENT_CAP_UNIVERSAL_PLANES, CLIENT_CAP_ATOMIC = 2, 3
CRTC, CONNECTOR, PLANE = 0xCCCCCCCC, 0xC0C0C0C0, 0xEEEEEEEE  # DRM_MODE_OBJECT_…
PROP_ENUM = 1 << 3
MODE_FLAG_INTERLACE, MODE_TYPE_USERDEF = 1 << 4, 1 << 5
PAGE_FLIP_EVENT, ATOMIC_TEST_ONLY, ATOMIC_ALLOW_MODESET = 0x1, 0x100, 0x400
EVENT_FLIP_COMPLETE = 2
XRGB8888 = int.from_bytes(b"XR24", "little")


def text(name: bytes) -> str:
    """A C text of fixed length."""
    return name.partition(b"\0")[0].decode("ascii", "replace")
