"""The composite encoder without hardware refuses and accepts what a Pi's does, and its fields last as long."""

import errno
import random
from statistics import fmean

import pytest

from appliance.video.formats import FORMATS
from appliance.video.modeline import Modeline
from tests.machine.machine import Machine

pytestmark = pytest.mark.machine

# The bounds are those of the kernel's drivers/gpu/drm/vc4/vc4_vec.c, atomic_check.
L525 = [13500, 720, 734, 798, 858, 240, 243, 246, 262, 0]
L625 = [13500, 720, 740, 804, 864, 288, 290, 293, 312, 0]


def _with(line: list[int], **changes: int) -> list[int]:
    return [changes.get(name, value) for name, value in zip(Modeline._fields, line, strict=True)]


REFUSED = {
    "clock 13499": (_with(L525, clock=13499), "NTSC"),
    "clock 27000": (_with(L525, clock=27000), "NTSC"),
    "width 718": (_with(L525, hdisplay=718), "NTSC"),
    "no horizontal sync": (_with(L525, hsync_end=734), "NTSC"),
    "857 samples": (_with(L525, htotal=857), "NTSC"),
    "263 lines": (_with(L525, vtotal=263), "NTSC"),
    "313 lines": (_with(L625, vtotal=313), "PAL"),
    "vertical sync of 4": (_with(L525, vsync_end=247), "NTSC"),
    "vertical sync of 4, 625": (_with(L625, vsync_end=294), "PAL"),
    "no front porch": (_with(L525, vsync_start=240, vsync_end=243), "NTSC"),
    "back porch of 3": (_with(L525, vsync_start=256, vsync_end=259), "NTSC"),
    "back porch of 1, 625": (_with(L625, vsync_start=308, vsync_end=311), "PAL"),
    "254 lines shown": (_with(L525, vdisplay=254, vsync_start=255, vsync_end=258), "NTSC"),
    "306 lines shown": (_with(L625, vdisplay=306, vsync_start=307, vsync_end=310), "PAL"),
    "864 samples, NTSC": (L625, "NTSC"),
    "864 samples, NTSC-443": (L625, "NTSC-443"),
    "864 samples, NTSC-J": (L625, "NTSC-J"),
    "864 samples, PAL-M": (L625, "PAL-M"),
    "858 samples, PAL-N": (L525, "PAL-N"),
    "858 samples, SECAM": (L525, "SECAM"),
}

ACCEPTED = {
    **{f"858 samples, {name}": (L525, name) for name in ("NTSC", "NTSC-443", "NTSC-J", "PAL", "PAL-M", "Mono")},
    **{f"864 samples, {name}": (L625, name) for name in ("PAL", "PAL-N", "SECAM", "Mono")},
    "253 lines shown": (_with(L525, vdisplay=253, vsync_start=254, vsync_end=257), "NTSC"),
    "305 lines shown": (_with(L625, vdisplay=305, vsync_start=306, vsync_end=309), "PAL"),
    "261 lines": (_with(L525, vtotal=261), "NTSC"),
    "width 640": (_with(L525, hdisplay=640), "NTSC"),
}


def test_refuses_what_the_encoder_refuses(bare: Machine) -> None:
    """Every modeline or TV mode outside one bound is refused with EINVAL."""
    found = bare.ask("try_modes", cases=list(REFUSED.values()))
    assert dict(zip(REFUSED, found, strict=True)) == dict.fromkeys(REFUSED, errno.EINVAL)


def test_accepts_what_the_encoder_accepts(bare: Machine) -> None:
    """Every TV mode goes up with its line length, and modelines at the very bounds do."""
    found = bare.ask("try_modes", cases=list(ACCEPTED.values()))
    assert dict(zip(ACCEPTED, found, strict=True)) == dict.fromkeys(ACCEPTED, 0)


def test_exact_totals_can_be_asked_for(bare: Machine) -> None:
    """With exact totals, as one kernel of Raspberry Pi has it, 261 lines are refused and 262 and interlace are not."""
    bare.ask("connector", exact_totals=1)
    cases = [ACCEPTED["261 lines"], (L525, "NTSC"), (list(map(int, FORMATS["480i"].modeline)), "NTSC")]
    try:
        assert bare.ask("try_modes", cases=cases) == [errno.EINVAL, 0, 0]
    finally:
        bare.ask("connector", exact_totals=0)


@pytest.mark.parametrize(
    ("name", "exact_ms"), [("240p", 16.651556), ("480i", 16.683333), ("288p", 19.968), ("576i", 20.0)]
)
def test_fields_last_as_long_as_they_should(bare: Machine, name: str, exact_ms: float) -> None:
    """The flips' own stamps are a whole number of exact fields apart, one where nothing held it up.

    Exact: samples of a line × lines of a field / 13.5 MHz. Stamps come in whole µs.
    """
    tv_mode = "NTSC" if FORMATS[name].line_system.name == "525" else "PAL"
    seen = bare.ask("flips", modeline=list(map(int, FORMATS[name].modeline)), tv_mode=tv_mode, count=120)
    steps = [b - a for a, b in zip(seen["stamps"], seen["stamps"][1:], strict=False)]
    whole = [round(step * 1e3 / exact_ms) for step in steps]
    assert fmean(s / n for s, n in zip(steps, whole, strict=True)) * 1e3 == pytest.approx(exact_ms, abs=0.00005)
    assert max(abs(s * 1e3 - n * exact_ms) for s, n in zip(steps, whole, strict=True)) < 0.002
    # Were flips one a frame, no step of an interlaced mode could be one field. How many fields are missed between two
    # flips is the host's affair: with four busy processes to a processor more than half of the steps were longer.
    print(f"{name}: {whole.count(1)} of {len(whole)} steps are one field, the longest {max(whole)}")
    assert whole.count(1) >= 10
    numbers = [b - a for a, b in zip(seen["sequences"], seen["sequences"][1:], strict=False)]
    assert numbers == whole


def test_the_log_tells_each_flip(bare: Machine) -> None:
    """The field that a flip's stamp names is the first in the log that has its framebuffer."""
    seen = bare.ask("flips", modeline=L525, tv_mode="NTSC", count=20)
    log = {round(field.stamp * 1e6): field for field in bare.fields()}
    flips = list(zip(seen["stamps"], seen["fbs"], strict=True))
    found = [next((log[t] for t in range(round(s * 1e6) - 2, round(s * 1e6) + 3) if t in log), None) for s, _ in flips]
    assert [field.fb if field else None for field in found] == [fb for _, fb in flips]


def test_reads_back_what_was_put_up(bare: Machine) -> None:
    """The window of a larger framebuffer comes back sample for sample, with modeline and TV mode."""
    bare.ask("hold", modeline=L625, tv_mode="PAL-N", size=[800, 300], seed=7, at=[12, 5])
    seen = bare.scanout()
    noise = random.Random(7).randbytes(800 * 300 * 4)  # noqa: S311  a picture, no secret
    rows = b"".join(noise[(y * 800 + 12) * 4 : (y * 800 + 732) * 4] for y in range(5, 293))
    assert (seen.modeline, seen.tv_mode, seen.at, seen.size) == (tuple(L625), "PAL-N", (12, 5), (800, 300))
    assert seen.rows == rows


def test_tv_mode_is_checked_against_the_running_modeline(bare: Machine) -> None:
    """Under a 625-line picture NTSC is refused and the picture stays; PAL is taken."""
    bare.ask("hold", modeline=L625, tv_mode="SECAM", size=[720, 288], seed=1, at=[0, 0])
    assert bare.ask("change_tv_mode", tv_mode="NTSC") == errno.EINVAL
    assert bare.scanout(pixels=False).tv_mode == "SECAM"
    assert bare.ask("change_tv_mode", tv_mode="PAL") == 0
    assert bare.scanout(pixels=False).tv_mode == "PAL"


@pytest.mark.parametrize(("status", "word"), [(2, "disconnected"), (3, "unknown"), (1, "connected")])
def test_connector_status_changes_while_running(bare: Machine, status: int, word: str) -> None:
    """What the parameter says is what the kernel then tells."""
    bare.ask("connector", status=status)
    assert bare.run("cat /sys/class/drm/card*-Composite-1/status").out.strip() == word
