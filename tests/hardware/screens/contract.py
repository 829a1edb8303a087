"""The clauses of the protocol Screen, each a function that tries one of them on any screen.

A rig brings the screen and a way to let its time pass; nothing here needs a test runner, so the clauses also run
as they are where only Python is installed::

    for clause in CLAUSES:
        rig = make_rig()
        try:
            clause(rig)
        finally:
            rig.screen.close()
"""

from __future__ import annotations

from array import array
from typing import TYPE_CHECKING, Any, Protocol

from appliance.hardware.screens.base import Flip, ModeRefused
from appliance.video.modeline import Mode, Modeline

if TYPE_CHECKING:
    from collections.abc import Callable

    from appliance.hardware.screens.protocol import Screen

# The modes of the encoder's own driver and of the Raspberry Pi kernel 6.12 (vc4_vec.c).
NTSC_240P = Mode(Modeline(13500, 720, 734, 798, 858, 240, 243, 246, 262, False), "NTSC")
NTSC_480I = Mode(Modeline(13500, 720, 734, 798, 858, 480, 487, 493, 525, True), "NTSC")
PAL_288P = Mode(Modeline(13500, 720, 740, 804, 864, 288, 290, 293, 312, False), "PAL")
PAL_576I = Mode(Modeline(13500, 720, 740, 804, 864, 576, 580, 586, 625, True), "PAL")
PAL_60 = Mode(NTSC_240P.modeline, "PAL")
MODES = (NTSC_240P, NTSC_480I, PAL_288P, PAL_576I, PAL_60)


class Rig(Protocol):
    """A screen to be tried, and its time."""

    @property
    def screen(self) -> Screen:
        """The screen."""

    @property
    def slack(self) -> float:
        """Seconds that a stamp may be off the exact field grid (a kernel's stamps are whole microseconds)."""

    def wait(self) -> float:
        """Let time pass until the screen has something to say, two seconds at most; the time it is then."""

    def picture(self) -> bytes | None:
        """The words on the screen, active lines × samples; None when they cannot be read back here."""


def rows(samples: int, lines: int, seed: int = 1) -> array[int]:
    """A picture whose every sample differs from its neighbours and from those of other seeds."""
    line = bytearray(array("I", [(x * 40503 + seed * 7919) & 0xFFFF for x in range(samples)]).tobytes())
    picture = array("I")
    for number in range(lines):
        line[2::4] = bytes([number & 255]) * samples
        picture.frombytes(line)
    return picture


def window(whole: array[int], samples: int, at: tuple[int, int], mode: Mode) -> bytes:
    """The words of the mode's size at ``at``."""
    line = mode.modeline
    starts = [(at[1] + y) * samples + at[0] for y in range(line.vdisplay)]
    return b"".join(whole[start : start + line.hdisplay].tobytes() for start in starts)


def full(rig: Rig, mode: Mode, seed: int = 1) -> Any:
    """A surface of the mode's own size."""
    size = mode.modeline.hdisplay, mode.modeline.vdisplay
    return rig.screen.surface(rows(*size, seed), *size)


def await_flip(rig: Rig) -> Flip:
    """The flip under way, and no other."""
    for _ in range(100):
        flips = rig.screen.read(rig.wait())
        if flips:
            assert len(flips) == 1
            return flips[0]
    raise AssertionError("no flip came")


def shows(rig: Rig, wanted: bytes) -> None:
    """The picture on the screen is the one wanted, wherever it can be read back; its unused byte does not count."""
    seen = rig.picture()
    if seen is not None:
        assert len(seen) == len(wanted)
        assert all(seen[n::4] == wanted[n::4] for n in range(3))


def start_puts_the_picture_up(rig: Rig) -> None:
    """Every mode starts, its picture is up, and exactly one flip comes out."""
    for mode in MODES:
        surface = full(rig, mode)
        rig.screen.start(mode, surface)
        await_flip(rig)
        shows(rig, window(rows(mode.modeline.hdisplay, mode.modeline.vdisplay), 720, (0, 0), mode))


def flips_come_one_by_one(rig: Rig) -> None:
    """Each flip puts its picture up and comes out once, a whole number of fields after the one before."""
    first, second = full(rig, NTSC_240P, 1), full(rig, NTSC_240P, 2)
    rig.screen.start(NTSC_240P, first)
    before = await_flip(rig).stamp
    for n in range(6):
        rig.screen.flip((second, first)[n % 2])
        stamp = await_flip(rig).stamp
        fields = (stamp - before) / NTSC_240P.modeline.field_time
        assert round(fields) >= 1
        assert abs(fields - round(fields)) * NTSC_240P.modeline.field_time <= rig.slack
        shows(rig, rows(720, 240, 2 - n % 2).tobytes())
        before = stamp


def a_window_moves_without_a_new_surface(rig: Rig) -> None:
    """A surface larger than the mode is shown from wherever is asked, its far corner included."""
    whole = rows(800, 300)
    surface = rig.screen.surface(whole, 800, 300)
    rig.screen.start(NTSC_240P, surface, (1, 2))
    await_flip(rig)
    shows(rig, window(whole, 800, (1, 2), NTSC_240P))
    for at in ((3, 0), (80, 60), (0, 59)):
        rig.screen.flip(surface, at)
        await_flip(rig)
        shows(rig, window(whole, 800, at, NTSC_240P))


def a_window_outside_is_refused(rig: Rig) -> None:
    """A window that does not lie in its surface is a ``ValueError``, and what was up stays up."""
    surface = full(rig, NTSC_240P)
    rig.screen.start(NTSC_240P, surface)
    await_flip(rig)
    for at in ((1, 0), (0, 1)):
        _raises(ValueError, rig.screen.flip, surface, at)
    rig.screen.flip(surface)
    await_flip(rig)


def one_flip_at_a_time(rig: Rig) -> None:
    """A second flip before the first came out is a ``RuntimeError``, after a start as after a flip."""
    surface = full(rig, NTSC_240P)
    rig.screen.start(NTSC_240P, surface)
    _raises(RuntimeError, rig.screen.flip, surface)
    await_flip(rig)
    rig.screen.flip(surface)
    _raises(RuntimeError, rig.screen.flip, surface)
    await_flip(rig)


def nothing_to_wait_for_when_still(rig: Rig) -> None:
    """With nothing under way there is no file to watch and no time to wake at."""
    surface = full(rig, NTSC_240P)
    assert (rig.screen.fileno(), rig.screen.due()) == (None, None)
    rig.screen.start(NTSC_240P, surface)
    assert rig.screen.fileno() is not None or rig.screen.due() is not None
    await_flip(rig)
    assert (rig.screen.fileno(), rig.screen.due()) == (None, None)


def start_forgets_a_flip_under_way(rig: Rig) -> None:
    """A start in the middle of a flip gives one flip, its own, and the new mode's picture."""
    first, second, third = full(rig, NTSC_240P, 1), full(rig, NTSC_240P, 2), full(rig, PAL_576I, 3)
    rig.screen.start(NTSC_240P, first)
    await_flip(rig)
    rig.screen.flip(second)
    rig.screen.start(PAL_576I, third)
    await_flip(rig)
    shows(rig, rows(720, 576, 3).tobytes())
    rig.screen.flip(third)
    await_flip(rig)


def a_surface_in_use_is_not_freed(rig: Rig) -> None:
    """The surface on the screen and the one under way to it cannot be freed; once replaced they can, once."""
    first, second = full(rig, NTSC_240P, 1), full(rig, NTSC_240P, 2)
    rig.screen.start(NTSC_240P, first)
    await_flip(rig)
    rig.screen.flip(second)
    _raises(RuntimeError, rig.screen.free, first)
    _raises(RuntimeError, rig.screen.free, second)
    await_flip(rig)
    rig.screen.free(first)
    _raises(RuntimeError, rig.screen.free, first)
    _raises(ValueError, rig.screen.flip, first)
    shows(rig, rows(720, 240, 2).tobytes())


def a_surface_keeps_its_rows(rig: Rig) -> None:
    """Rows are copied: what the caller does to them afterwards does not show."""
    given = rows(720, 240)
    surface = rig.screen.surface(given, 720, 240)
    wanted = given.tobytes()
    given[0:720] = array("I", bytes(4 * 720))
    rig.screen.start(NTSC_240P, surface)
    await_flip(rig)
    shows(rig, wanted)


def rows_of_another_size_are_refused(rig: Rig) -> None:
    """Rows that are not lines × samples words are a ``ValueError``."""
    _raises(ValueError, rig.screen.surface, rows(720, 239), 720, 240)


def a_mode_outside_the_bounds_is_refused(rig: Rig) -> None:
    """A modeline or colour system that the encoder does not take is ``ModeRefused``; the picture stays."""
    surface = full(rig, NTSC_240P)
    rig.screen.start(NTSC_240P, surface)
    await_flip(rig)
    line = NTSC_240P.modeline
    for bad in (Mode(line._replace(clock=13499), "NTSC"), Mode(line._replace(vtotal=263), "NTSC"), Mode(line, "PAL-N")):
        _raises(ModeRefused, rig.screen.start, bad, surface)
    shows(rig, rows(720, 240).tobytes())
    rig.screen.flip(surface)
    await_flip(rig)


def many_pictures_come_and_go(rig: Rig) -> None:
    """A hundred pictures, each freed when the next is up, each right."""
    up = full(rig, NTSC_240P, 0)
    rig.screen.start(NTSC_240P, up)
    await_flip(rig)
    for seed in range(1, 100):
        following = full(rig, NTSC_240P, seed)
        rig.screen.flip(following)
        await_flip(rig)
        rig.screen.free(up)
        up = following
    shows(rig, rows(720, 240, 99).tobytes())


def _raises(kind: type[Exception], act: Callable[..., Any], *given: object) -> None:
    try:
        act(*given)
    except kind:
        return
    raise AssertionError(f"no {kind.__name__} was raised")


CLAUSES: tuple[Callable[[Rig], None], ...] = (
    start_puts_the_picture_up,
    flips_come_one_by_one,
    a_window_moves_without_a_new_surface,
    a_window_outside_is_refused,
    one_flip_at_a_time,
    nothing_to_wait_for_when_still,
    start_forgets_a_flip_under_way,
    a_surface_in_use_is_not_freed,
    a_surface_keeps_its_rows,
    rows_of_another_size_are_refused,
    a_mode_outside_the_bounds_is_refused,
    many_pictures_come_and_go,
)
