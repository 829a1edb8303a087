"""The kernel's own checks of a mode, written out again in the order and manner of its C source.

After Linux ``drm_mode_validate_basic`` and ``drm_mode_set_crtcinfo`` (drm_modes.c) and ``vc4_vec_encoder_atomic_check``
(vc4_vec.c), as reported of 6.12; errors as the negative numbers the kernel returns.
"""

from appliance.video.modeline import Mode

EINVAL = -22


def atomic_check(mode: Mode) -> int:  # noqa: PLR0911 - one return a check, as the driver has it
    """0 if the kernel would take the mode, −22 if not."""
    m = mode.modeline
    if m.clock != 13500:
        return EINVAL
    if m.hdisplay <= 0 or m.hsync_start < m.hdisplay or m.hsync_end < m.hsync_start or m.htotal < m.hsync_end:
        return EINVAL
    if m.vdisplay <= 0 or m.vsync_start < m.vdisplay or m.vsync_end < m.vsync_start or m.vtotal < m.vsync_end:
        return EINVAL
    vdisplay, vsync_start, vsync_end, vtotal = m.vdisplay, m.vsync_start, m.vsync_end, m.vtotal
    if m.interlaced:
        vdisplay, vsync_start, vsync_end, vtotal = vdisplay >> 1, vsync_start >> 1, vsync_end >> 1, vtotal >> 1
    if (m.htotal, mode.tv_mode) not in {
        (858, "NTSC"), (858, "NTSC-443"), (858, "NTSC-J"), (858, "PAL-M"), (858, "PAL"), (858, "Mono"),
        (864, "PAL"), (864, "PAL-N"), (864, "SECAM"), (864, "Mono"),
    }:  # fmt: skip
        return EINVAL
    if m.hdisplay & 3:
        return EINVAL
    if not m.hsync_end - m.hsync_start:
        return EINVAL
    if m.htotal == 858:
        if vtotal > 262 or vdisplay < 1 or vdisplay > 253:
            return EINVAL
        if not vsync_start - vdisplay or vsync_end - vsync_start != 3 or vtotal - vsync_end < 4:
            return EINVAL
        return 0 if m.vtotal == (525 if m.interlaced else 262) else EINVAL  # the stricter Raspberry Pi kernel
    if vtotal > 312 or vdisplay < 1 or vdisplay > 305:
        return EINVAL
    if not vsync_start - vdisplay or vsync_end - vsync_start != 3 or vtotal - vsync_end < 2:
        return EINVAL
    return 0 if m.vtotal == (625 if m.interlaced else 312) else EINVAL
