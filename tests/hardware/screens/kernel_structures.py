"""The kernel's structures once more, in ctypes, for the pretend kernel: from the headers, not from the product."""

from __future__ import annotations

import ctypes
from ctypes import Structure, c_char, c_int, c_size_t, c_uint16, c_uint32, c_uint64, c_void_p
from typing import Any


def _structure(name: str, words: str, sizes: dict[str, object] | None = None) -> type[Structure]:
    """A structure of 32-bit fields but for those that ``sizes`` gives another type."""
    return type(name, (Structure,), {"_fields_": [(w, (sizes or {}).get(w, c_uint32)) for w in words.split()]})


def _wide(words: str) -> dict[str, object]:
    return dict.fromkeys(words.split(), c_uint64)


_TIMINGS = "hdisplay hsync_start hsync_end htotal hskew vdisplay vsync_start vsync_end vtotal vscan"
ModeInfo = _structure(
    "ModeInfo",
    f"clock {_TIMINGS} vrefresh flags type name",
    {**dict.fromkeys(_TIMINGS.split(), c_uint16), "name": c_char * 32},
)
PropertyEnum = _structure("PropertyEnum", "value name", {"value": c_uint64, "name": c_char * 32})
FlipEvent = _structure("FlipEvent", "type length user_data tv_sec tv_usec sequence crtc_id", _wide("user_data"))

_CRTC = _structure(
    "Crtc",
    "set_connectors_ptr count_connectors crtc_id fb_id x y gamma_size mode_valid mode",
    {"set_connectors_ptr": c_uint64, "mode": ModeInfo},
)

BY_NUMBER: dict[int, type[Structure]] = {
    0x00: _structure(
        "Version",
        "major minor patch name_len name date_len date desc_len desc",
        {
            **dict.fromkeys(("major", "minor", "patch"), c_int),
            **dict.fromkeys(("name_len", "date_len", "desc_len"), c_size_t),
            **dict.fromkeys(("name", "date", "desc"), c_void_p),
        },
    ),
    0x0C: _structure("GetCap", "capability value", _wide("capability value")),
    0x0D: _structure("SetClientCap", "capability value", _wide("capability value")),
    0x1E: _structure("SetMaster", ""),
    0x1F: _structure("DropMaster", ""),
    0xA0: _structure(
        "Resources",
        "fb_id_ptr crtc_id_ptr connector_id_ptr encoder_id_ptr count_fbs count_crtcs count_connectors count_encoders"
        " min_width max_width min_height max_height",
        _wide("fb_id_ptr crtc_id_ptr connector_id_ptr encoder_id_ptr"),
    ),
    0xA1: _CRTC,
    0xA2: _CRTC,
    0xA6: _structure("Encoder", "encoder_id encoder_type crtc_id possible_crtcs possible_clones"),
    0xA7: _structure(
        "Connector",
        "encoders_ptr modes_ptr props_ptr prop_values_ptr count_modes count_props count_encoders encoder_id"
        " connector_id connector_type connector_type_id connection mm_width mm_height subpixel pad",
        _wide("encoders_ptr modes_ptr props_ptr prop_values_ptr"),
    ),
    0xAA: _structure(
        "Property",
        "values_ptr enum_blob_ptr prop_id flags name count_values count_enum_blobs",
        {**_wide("values_ptr enum_blob_ptr"), "name": c_char * 32},
    ),
    0xAF: _structure("RemoveFrame", "fb_id"),
    0xB0: _structure("PageFlip", "crtc_id fb_id flags reserved user_data", _wide("user_data")),
    0xB2: _structure("CreateDumb", "height width bpp flags handle pitch size", _wide("size")),
    0xB3: _structure("MapDumb", "handle pad offset", _wide("offset")),
    0xB4: _structure("DestroyDumb", "handle"),
    0xB5: _structure("PlaneResources", "plane_id_ptr count_planes", _wide("plane_id_ptr")),
    0xB6: _structure(
        "Plane",
        "plane_id crtc_id fb_id possible_crtcs gamma_size count_format_types format_type_ptr",
        _wide("format_type_ptr"),
    ),
    0xB8: _structure(
        "AddFrame",
        "fb_id width height pixel_format flags handles pitches offsets modifier",
        {**dict.fromkeys(("handles", "pitches", "offsets"), c_uint32 * 4), "modifier": c_uint64 * 4},
    ),
    0xB9: _structure(
        "GetProperties", "props_ptr prop_values_ptr count_props obj_id obj_type", _wide("props_ptr prop_values_ptr")
    ),
    0xBA: _structure("SetProperty", "value prop_id obj_id obj_type", _wide("value")),
    0xBC: _structure(
        "Atomic",
        "flags count_objs objs_ptr count_props_ptr props_ptr prop_values_ptr reserved user_data",
        _wide("objs_ptr count_props_ptr props_ptr prop_values_ptr reserved user_data"),
    ),
    0xBD: _structure("CreateBlob", "data length blob_id", _wide("data")),
    0xBE: _structure("DestroyBlob", "blob_id"),
}


def put(address: int, room: int, values: list[int], kind: Any = c_uint32) -> None:
    """Write a list where the caller made room for it; like the kernel, nothing when the room is too small."""
    if values and room >= len(values):
        data = bytes((kind * len(values))(*values))
        ctypes.memmove(address, data, len(data))


def get(address: int, count: int, kind: Any = c_uint32) -> list[int]:
    """The list the caller points to."""
    return (
        list((kind * count).from_buffer_copy(ctypes.string_at(address, count * ctypes.sizeof(kind)))) if count else []
    )
