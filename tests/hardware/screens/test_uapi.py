"""The kernel's structures and numbers as written in Python, against a C program compiled from the kernel's headers."""

import shutil
import struct
import subprocess
from pathlib import Path

import pytest

from appliance.hardware.screens import uapi
from appliance.hardware.screens.connectors import COMPOSITE
from appliance.hardware.screens.uapi import Call, Layout

# linux-libc-dev has them as <drm/…> (Debian 13), libdrm-dev as <libdrm/…> (Debian 12 has only these).
HEADERS = """
#if __has_include(<drm/drm_mode.h>)
#include <drm/drm.h>
#include <drm/drm_fourcc.h>
#else
#include <libdrm/drm.h>
#include <libdrm/drm_fourcc.h>
#endif
#include <stddef.h>
#include <stdio.h>
"""

LAYOUTS = {name: value for name, value in vars(uapi).items() if isinstance(value, Layout)}
CALLS = {name: value for name, value in LAYOUTS.items() if isinstance(value, Call)}
MACROS = {  # where the header's name of a call is not DRM_IOCTL_MODE_ and ours
    "VERSION": "DRM_IOCTL_VERSION",
    "GET_CAP": "DRM_IOCTL_GET_CAP",
    "SET_CLIENT_CAP": "DRM_IOCTL_SET_CLIENT_CAP",
    "SET_MASTER": "DRM_IOCTL_SET_MASTER",
    "DROP_MASTER": "DRM_IOCTL_DROP_MASTER",
}
CONSTANTS = {
    "DRM_CAP_TIMESTAMP_MONOTONIC": uapi.CAP_TIMESTAMP_MONOTONIC,
    "DRM_CLIENT_CAP_ATOMIC": uapi.CLIENT_CAP_ATOMIC,
    "DRM_MODE_OBJECT_CRTC": uapi.CRTC,
    "DRM_MODE_OBJECT_CONNECTOR": uapi.CONNECTOR,
    "DRM_MODE_OBJECT_PLANE": uapi.PLANE,
    "DRM_MODE_CONNECTOR_Composite": COMPOSITE,
    "DRM_MODE_PROP_ENUM": uapi.PROP_ENUM,
    "DRM_MODE_FLAG_INTERLACE": uapi.MODE_FLAG_INTERLACE,
    "DRM_MODE_TYPE_USERDEF": uapi.MODE_TYPE_USERDEF,
    "DRM_MODE_PAGE_FLIP_EVENT": uapi.PAGE_FLIP_EVENT,
    "DRM_MODE_ATOMIC_TEST_ONLY": uapi.ATOMIC_TEST_ONLY,
    "DRM_MODE_ATOMIC_ALLOW_MODESET": uapi.ATOMIC_ALLOW_MODESET,
    "DRM_EVENT_FLIP_COMPLETE": uapi.EVENT_FLIP_COMPLETE,
    "DRM_FORMAT_XRGB8888": uapi.XRGB8888,
}


def _program() -> str:
    """C that prints one line ``name value`` for each constant, ioctl number, structure size and field offset."""
    values = {name: name for name in CONSTANTS}
    values |= {f"{name}.number": MACROS.get(name, f"DRM_IOCTL_MODE_{name}") for name in CALLS}
    for layout in LAYOUTS.values():
        if layout.c_name:
            values[layout.c_name] = f"sizeof(struct {layout.c_name})"
            values |= {f"{layout.c_name}.{f}": f"offsetof(struct {layout.c_name}, {f})" for f in layout.fields}
    lines = "".join(f'printf("%s %llu\\n", "{name}", (unsigned long long)({c}));\n' for name, c in values.items())
    return f"{HEADERS}int main(void) {{\n{lines}return 0; }}\n"


@pytest.fixture(scope="module")
def kernel(tmp_path_factory: pytest.TempPathFactory) -> dict[str, int]:
    """What the compiled headers say; skips where there is no compiler or there are no headers."""
    compiler = shutil.which("cc") or shutil.which("gcc")
    if compiler is None:
        pytest.skip("no C compiler here (Debian: gcc)")
    folder: Path = tmp_path_factory.mktemp("uapi")
    (folder / "probe.c").write_text(HEADERS)
    probe = subprocess.run([compiler, "-fsyntax-only", folder / "probe.c"], capture_output=True, check=False)
    if probe.returncode:
        pytest.skip("no kernel display headers here (Debian 12: libdrm-dev, Debian 13: linux-libc-dev)")
    (folder / "print.c").write_text(_program())
    subprocess.run([compiler, "-o", folder / "print", folder / "print.c"], check=True)
    output = subprocess.run([folder / "print"], capture_output=True, check=True, text=True).stdout
    return {name: int(value) for name, value in (line.split() for line in output.splitlines())}


@pytest.mark.parametrize("name", CALLS)
def test_ioctl_numbers(kernel: dict[str, int], name: str) -> None:
    """The number made from direction, size and nr is the header's own."""
    assert CALLS[name].number == kernel[f"{name}.number"]


@pytest.mark.parametrize("name", [name for name, layout in LAYOUTS.items() if layout.c_name])
def test_structures(kernel: dict[str, int], name: str) -> None:
    """Every structure has the C compiler's size, and every field lies where C puts it."""
    layout = LAYOUTS[name]
    assert layout.size == kernel[layout.c_name]
    for place, field in enumerate(layout.fields):
        before = "@" + "".join(layout.packing[:place]) + "0" + layout.packing[place].lstrip("0123456789")[:1]
        assert struct.calcsize(before) == kernel[f"{layout.c_name}.{field}"], field


@pytest.mark.parametrize("name", CONSTANTS)
def test_constants(kernel: dict[str, int], name: str) -> None:
    """Flags and object types are the header's."""
    assert CONSTANTS[name] == kernel[name]


def test_known_numbers() -> None:
    """The numbers that any tracing of a KMS program shows, so that they are checked without a compiler too."""
    known = {"GETRESOURCES": 0xC04064A0, "SETCRTC": 0xC06864A2, "PAGE_FLIP": 0xC01864B0, "ATOMIC": 0xC03864BC}
    assert {name: CALLS[name].number for name in known} == known


def test_a_structure_goes_there_and_back() -> None:
    """What is packed by name comes back by name, and what was not given is 0."""
    data = uapi.PAGE_FLIP.pack(crtc_id=7, user_data=1 << 40)
    assert uapi.PAGE_FLIP.unpack(data) == {"crtc_id": 7, "fb_id": 0, "flags": 0, "reserved": 0, "user_data": 1 << 40}
