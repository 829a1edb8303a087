"""The encoder's bounds: each just inside and just outside, and all against the driver's conditions written out."""

import subprocess
import sys

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from appliance.errors import Refused
from appliance.video.bounds import check_bounds
from appliance.video.formats import FORMATS, find_mode
from appliance.video.modeline import Mode, Modeline, read_modeline
from tests.video.driver_oracle import atomic_check

P525, I525, P625, I625 = (FORMATS[name].modeline for name in ("240p", "480i", "288p", "576i"))


def vertical(base: Modeline, text: str) -> Modeline:
    """``base`` with other vertical timings, "shown start end total"."""
    shown, start, end, total = map(int, text.split())
    return base._replace(vdisplay=shown, vsync_start=start, vsync_end=end, vtotal=total)


# bound: what the message says, modeline just inside, modeline just outside
BOUNDS = {
    "clock": ("pixel clock", P525, P525._replace(clock=13501)),
    "clock as the kernel rounds 13.5 MHz over 1.001": ("pixel clock", P525, P525._replace(clock=13487)),
    "width a multiple of 4": ("width shown", P525._replace(hdisplay=716), P525._replace(hdisplay=718)),
    "sync not empty": (
        "horizontal sync",
        P525._replace(hsync_start=797, hsync_end=798),
        P525._replace(hsync_start=798, hsync_end=798),
    ),
    "858 samples": ("whole line", P525, P525._replace(htotal=857)),
    "864 samples": ("whole line", P625, P625._replace(htotal=865)),
    "horizontal order": (
        "horizontal order",
        P525._replace(hsync_start=720),
        P525._replace(hsync_start=719),
    ),
    "vertical order": ("vertical order", P525, vertical(P525, "240 239 242 262")),
    "something shown across": ("horizontal order", P525._replace(hdisplay=4), P525._replace(hdisplay=0)),
    "262 lines": ("whole field", P525, vertical(P525, "240 243 246 263")),
    "312 lines": ("whole field", P625, vertical(P625, "288 290 293 313")),
    "exactly 262": ("whole frame", P525, vertical(P525, "240 243 246 261")),
    "exactly 312": ("whole frame", P625, vertical(P625, "288 290 293 311")),
    "exactly 525": ("whole frame", I525, vertical(I525, "480 487 493 524")),
    "exactly 625": ("whole frame", I625, vertical(I625, "576 580 586 624")),
    "at most 262 a field of 526": ("whole field", I525, vertical(I525, "480 487 493 526")),
    "253 shown": ("height shown", vertical(P525, "253 254 257 262"), vertical(P525, "254 255 258 262")),
    "305 shown": ("height shown", vertical(P625, "305 306 309 312"), vertical(P625, "306 307 310 312")),
    "253 shown of 507": ("height shown", vertical(I525, "507 508 514 525"), vertical(I525, "508 510 516 525")),
    "305 shown of 611": ("height shown", vertical(I625, "611 612 618 625"), vertical(I625, "612 614 620 625")),
    "one line shown": ("height shown", vertical(I525, "2 487 493 525"), vertical(I525, "1 487 493 525")),
    "front porch": ("front porch", vertical(P525, "240 241 244 262"), vertical(P525, "240 240 243 262")),
    "front porch halved": ("front porch", vertical(I525, "480 482 488 525"), vertical(I525, "480 481 487 525")),
    "vsync 3": ("vertical sync", P525, vertical(P525, "240 243 247 262")),
    "vsync 3, not 2": ("vertical sync", P625, vertical(P625, "288 290 292 312")),
    "vsync halved": ("vertical sync", vertical(I525, "480 486 493 525"), vertical(I525, "480 487 494 525")),
    "back porch 4": ("back porch", vertical(P525, "240 255 258 262"), vertical(P525, "240 256 259 262")),
    "back porch 2": ("back porch", vertical(P625, "288 307 310 312"), vertical(P625, "288 308 311 312")),
    "back porch 4 halved": ("back porch", vertical(I525, "480 510 517 525"), vertical(I525, "480 512 518 525")),
    "back porch 2 halved": ("back porch", vertical(I625, "576 614 621 625"), vertical(I625, "576 616 622 625")),
}


@pytest.mark.parametrize("bound", BOUNDS)
def test_bound(bound: str) -> None:
    """Just inside a bound a mode is taken; just outside it is refused and the bound is named."""
    words, inside, outside = BOUNDS[bound]
    check_bounds(Mode(inside, "PAL"))  # the one TV mode that goes with both line systems
    with pytest.raises(Refused, match=words):
        check_bounds(Mode(outside, "PAL"))


@pytest.mark.parametrize("name", FORMATS)
def test_formats_are_within(name: str) -> None:
    """Every format is taken in each of its systems, by us and by the driver's conditions."""
    for system in FORMATS[name].systems:
        mode = find_mode(FORMATS[name], system)
        check_bounds(mode)
        assert atomic_check(mode) == 0


@pytest.mark.parametrize(
    ("line", "tv_mode"), [(P525, "PAL-N"), (P525, "SECAM"), (P625, "NTSC"), (I625, "PAL-M"), (P525, ""), (P525, "pal")]
)
def test_tv_mode_goes_with_the_line(line: Modeline, tv_mode: str) -> None:
    """A TV mode of the other line system, or one there is not, is refused with those that there are."""
    with pytest.raises(Refused, match=r"TV mode at 8\d\d samples is .*takes one of .*PAL, .*Mono"):
        check_bounds(Mode(line, tv_mode))


def test_message_shows_the_modeline() -> None:
    """The refusal carries the whole modeline and TV mode, the broken value and what is allowed."""
    with pytest.raises(Refused) as refusal:
        check_bounds(Mode(P525._replace(hdisplay=718), "NTSC"))
    assert str(refusal.value) == (
        "modeline 13500 718 734 798 858 240 243 246 262 0 with TV mode NTSC: "
        "the width shown is 718 samples; the encoder takes a multiple of 4"
    )


TV_MODES = st.sampled_from(["NTSC", "NTSC-443", "NTSC-J", "PAL", "PAL-M", "PAL-N", "SECAM", "Mono", "mono"])
NUDGES = st.lists(st.sampled_from([0, 0, 0, 0, -1, 1, -2, 2, 4, -12]), min_size=8, max_size=8)
FIELDS = st.tuples(st.integers(-1, 320), st.integers(-1, 12), st.sampled_from([2, 3, 3, 3, 4]))


@given(st.sampled_from([P525, I525, P625, I625]), st.booleans(), NUDGES, TV_MODES)
def test_agrees_with_the_driver_near_the_formats(base: Modeline, flip: bool, nudges: list[int], tv_mode: str) -> None:
    """Near our own modelines we take exactly what the driver's conditions take."""
    numbers = [n + nudge for n, nudge in zip(base[1:9], nudges, strict=True)]
    agree(Mode(Modeline._make([13500, *numbers, bool(base.interlaced) != flip]), tv_mode))


@given(st.sampled_from([858, 864]), st.booleans(), st.integers(0, 1), FIELDS, TV_MODES)
@example(858, True, 0, (253, 1, 3), "PAL")
def test_agrees_with_the_driver_at_any_height(
    htotal: int, interlaced: bool, odd: int, parts: tuple[int, int, int], tv_mode: str
) -> None:
    """Built from height, porches and sync of a field, at the right total or not, we agree with the driver."""
    shown, front, sync = parts
    half = 2 if interlaced else 1
    total = {(858, 1): 262, (858, 2): 525, (864, 1): 312, (864, 2): 625}[htotal, half]
    start = (shown + front) * half + odd
    line = Modeline(13500, 720, 734, 798, htotal, shown * half, start, start + sync * half, total, interlaced)
    agree(Mode(line, tv_mode))


def agree(mode: Mode) -> None:
    """Assert that the driver's conditions and ours come to the same."""
    if atomic_check(mode) == 0:
        check_bounds(mode)
    else:
        with pytest.raises(Refused):
            check_bounds(mode)


def test_first_light_needs_nothing_heavy() -> None:
    """The bounds and a modeline read from its file import no typing, dataclasses, fractions, re or numpy."""
    code = (
        "import sys; before = set(sys.modules)\n"
        "from appliance.video.bounds import check_bounds\n"
        "from appliance.video.modeline import Mode, read_modeline\n"
        "check_bounds(Mode(read_modeline('13500 720 734 798 858 240 243 246 262 0'), 'NTSC'))\n"
        "print(*sorted(set(sys.modules) - before))"
    )
    ran = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    gained = {name for name in ran.stdout.split() if not name.startswith("appliance")}
    assert gained <= {"collections", "_collections", "itertools", "keyword", "operator", "_operator", "reprlib"}


def test_modeline_from_the_file_is_checked_alike() -> None:
    """A modeline read back from its text, whose last number is 1 and not True, is judged like the one written."""
    check_bounds(Mode(read_modeline(I525.text()), "NTSC"))
