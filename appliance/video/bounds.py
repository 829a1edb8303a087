"""What the encoder takes: a mode outside its bounds is refused here, by name, before the kernel does it silently.

The bounds are those of the Linux driver's ``atomic_check`` (``drivers/gpu/drm/vc4/vc4_vec.c``), of the kernel's own
sanity check of a mode (``drm_modes.c``), and one of ours: the progressive totals are always 262 and 312 and the
interlaced ones 525 and 625, since a Raspberry Pi kernel demands the former and television the latter.

Imported on the way to the first picture, so nothing heavy is imported here.
"""

from appliance.errors import Refused
from appliance.video.modeline import Mode, Modeline

TYPE_CHECKING = False  # typing itself would be an import before the first picture
if TYPE_CHECKING:
    from collections.abc import Iterator

    Check = tuple[bool, str, object, str]

CLOCK = 13_500
"""kHz; the encoder samples at 13.5 MHz and at nothing else."""

VSYNC = 3
"""Lines of vertical sync in a field, both line systems."""

# By samples of a whole line: most lines of a field, most shown, least back porch; lines of an interlaced frame;
# values of ``TV mode``. PAL on 858 samples is what sets call PAL-60.
_LIMITS = {
    858: (262, 253, 4, 525, ("NTSC", "NTSC-J", "NTSC-443", "PAL-M", "PAL", "Mono")),
    864: (312, 305, 2, 625, ("PAL", "PAL-N", "SECAM", "Mono")),
}


def check_bounds(mode: Mode) -> None:
    """Nothing if the encoder takes ``mode``; raises :class:`Refused` naming the first bound it breaks."""
    line = mode.modeline
    for good, what, value, wanted in _checks(mode):
        if not good:
            raise Refused(
                f"modeline {line.text()} with TV mode {mode.tv_mode}: {what} is {value}; the encoder takes {wanted}"
            )


def _checks(mode: Mode) -> "Iterator[Check]":
    """The bounds in order, each ``(kept, what, value, wanted)``; later ones may rely on earlier ones being kept."""
    line = mode.modeline
    yield line.clock == CLOCK, "the pixel clock", f"{line.clock} kHz", f"exactly {CLOCK} kHz"
    yield line.htotal in _LIMITS, "the whole line", f"{line.htotal} samples", "858 (525 lines) or 864 (625 lines)"
    yield from _order(line)
    yield line.hdisplay % 4 == 0, "the width shown", f"{line.hdisplay} samples", "a multiple of 4"
    yield line.hsync_end > line.hsync_start, "horizontal sync", "0 samples", "1 sample or more"
    yield from _field(line)
    *_, systems = _LIMITS[line.htotal]
    yield mode.tv_mode in systems, f"TV mode at {line.htotal} samples", mode.tv_mode, f"one of {', '.join(systems)}"


def _order(line: Modeline) -> "Iterator[Check]":
    """The kernel's own: something is shown, then sync starts, then ends, then the line or frame ends."""
    for name, shown, start, end, total in (("horizontal", *line[1:5]), ("vertical", *line[5:9])):
        kept = 1 <= shown <= start <= end <= total
        yield (
            kept,
            f"the {name} order",
            f"{shown} {start} {end} {total}",
            "shown, sync start, sync end, whole, rising",
        )


def _field(line: Modeline) -> "Iterator[Check]":
    """The vertical bounds. The kernel halves an interlaced frame's timings to whole lines first, and so do we."""
    most, tallest, back_porch, frame, _ = _LIMITS[line.htotal]
    half = 2 if line.interlaced else 1
    shown, start, end, total = (timing // half for timing in line[5:9])
    yield total <= most, "the whole field", f"{total} lines", f"at most {most}"
    yield 1 <= shown <= tallest, "the height shown in a field", f"{shown} lines", f"1 to {tallest}"
    yield start > shown, "the vertical front porch", f"{start - shown} lines of a field", "1 or more"
    yield end - start == VSYNC, "vertical sync", f"{end - start} lines of a field", f"exactly {VSYNC}"
    yield total - end >= back_porch, "the vertical back porch", f"{total - end} lines of a field", f"{back_porch} up"
    wanted = frame if line.interlaced else most
    yield line.vtotal == wanted, "the whole frame", f"{line.vtotal} lines", f"exactly {wanted}"
