"""The window: its shape, its fields by the clock, its keyboard."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

import numpy
import pygame
import pytest

from appliance.hardware.screens.base import ScreenTrouble
from appliance.hardware.screens.window import WindowScreen, fit, shape
from appliance.hardware.screens.window_keys import POLL, WindowKeys
from appliance.presses.edges import Edge
from appliance.video.formats import FORMATS
from tests.hardware.screens.contract import NTSC_240P, NTSC_480I, full
from tests.hardware.screens.rigs import WindowRig


@pytest.fixture
def rig(desktop: None) -> Iterator[WindowRig]:
    """A window with 240p up, its flip read."""
    made = WindowRig()
    made.screen.start(NTSC_240P, full(made, NTSC_240P))
    made.screen.read(made.now)
    yield made
    made.screen.close()


def test_shape_is_the_tube_s() -> None:
    """A circle drawn by the pixel aspect is round: 480i's 720 samples of 710.85 and 480 lines of 486 make 1.3674."""
    # BT.601 sampling of the active picture of SMPTE 170M: 4:3 · (720 / 710.85) · (486 / 480).
    assert float(shape(FORMATS["480i"].modeline)) == pytest.approx(4 / 3 * 720 / 710.85 * 486 / 480, rel=1e-5)
    assert float(shape(FORMATS["576i"].modeline)) == pytest.approx(4 / 3 * 720 / 702, rel=1e-9)
    assert shape(FORMATS["240p"].modeline) == shape(FORMATS["480i"].modeline)


@pytest.mark.parametrize(
    ("window", "picture"),
    [((984, 720), (984, 720)), ((2000, 720), (985, 720)), ((700, 900), (700, 512)), ((1, 1), (1, 1))],
)
def test_fit(window: tuple[int, int], picture: tuple[int, int]) -> None:
    """The picture is as large as its window lets it be."""
    assert fit(*window, shape(FORMATS["480i"].modeline)) == picture


def test_no_desktop_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no window can be opened the message says why."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "no such driver")
    with pytest.raises(ScreenTrouble, match="no window can be opened"):
        WindowScreen()


def test_a_thousand_fields_keep_the_exact_rate(rig: WindowRig) -> None:
    """Every flip comes one field after the last, by the exact field time and without a drift."""
    surface = full(rig, NTSC_240P, 2)
    stamps = []
    for _ in range(1000):
        rig.screen.flip(surface)
        stamps += [flip.stamp for flip in rig.screen.read(rig.wait())]
    # 262 lines of 858 samples at 13.5 MHz (ITU-R BT.601-7).
    assert stamps[-1] - stamps[0] == pytest.approx(999 * float(Fraction(858 * 262, 13_500_000)), abs=1e-9)


def test_a_late_reader_misses_fields_and_is_told(rig: WindowRig) -> None:
    """A flip read three fields late was up three fields late, and its stamp says so."""
    rig.screen.flip(full(rig, NTSC_240P, 2))
    due = rig.screen.due()
    assert due is not None
    (flip,) = rig.screen.read(due + 3.2 * NTSC_240P.modeline.field_time)
    assert flip.stamp == pytest.approx(due + 3 * NTSC_240P.modeline.field_time)


def test_not_before_its_field(rig: WindowRig) -> None:
    """Until its field begins the old picture stays."""
    before = rig.picture()
    rig.screen.flip(full(rig, NTSC_240P, 2))
    assert rig.screen.read((rig.screen.due() or 0) - 1e-3) == []
    assert rig.picture() == before


def test_the_picture_is_centred_with_black_around(desktop: None) -> None:
    """A window of another shape shows the picture in its middle."""
    screen = WindowScreen(lambda: 0.0)
    pygame.display.set_mode((1400, 720), pygame.RESIZABLE)
    white = numpy.full((480, 720), 0xFFFFFF, "<u4")
    screen.start(NTSC_480I, screen.surface(white, 720, 480))
    seen = pygame.surfarray.array2d(pygame.display.get_surface()) & 0xFFFFFF
    screen.close()
    bright = numpy.flatnonzero(seen[:, 360])
    assert (bright.min(), 1399 - bright.max(), len(bright)) == (207, 208, 985)
    assert seen[bright].min() == 0xFFFFFF


def test_smooth_keeps_lines_whole_where_they_go_evenly(desktop: None) -> None:
    """240 lines in 720 pixels are three pixels each, not a blur."""
    screen = WindowScreen(lambda: 0.0)
    stripes = numpy.zeros((240, 720), "<u4")
    stripes[::2] = 0xFFFFFF
    screen.start(NTSC_240P, screen.surface(stripes, 720, 240))
    seen = pygame.surfarray.array2d(pygame.display.get_surface()) & 0xFFFFFF
    screen.close()
    assert (seen.T[:, 400].reshape(240, 3) == stripes[:, :1]).all()


# Keys


def press(keys: WindowKeys, *moves: tuple[int, int], now: float = 1.0) -> list[Edge]:
    """What comes out when the keyboard moves so: event type and key code each."""
    for kind, code in moves:
        pygame.event.post(pygame.event.Event(kind, key=code))
    return keys.read(now)


DOWN, UP = pygame.KEYDOWN, pygame.KEYUP
MEANINGS = [
    (pygame.K_RIGHT, "forward"), (pygame.K_UP, "forward"), (pygame.K_LEFT, "back"), (pygame.K_DOWN, "back"),
    (pygame.K_RETURN, "go"), (pygame.K_KP_ENTER, "go"), (pygame.K_v, "vary"), (pygame.K_n, "note"),
    (pygame.K_0, "0"), (pygame.K_7, "7"), (pygame.K_KP0, "0"), (pygame.K_KP9, "9"),
]  # fmt: skip


@pytest.mark.parametrize(("code", "key"), MEANINGS, ids=str)
def test_keys_mean(rig: WindowRig, code: int, key: str) -> None:
    """Each key of the keyboard gives the edges of its logical key, stamped with the time handed in."""
    assert press(WindowKeys(rig.screen), (DOWN, code), (UP, code), now=3.5) == [
        Edge(key, True, 3.5),
        Edge(key, False, 3.5),
    ]


def test_other_keys_mean_nothing(rig: WindowRig) -> None:
    """Neither letters beside the two nor a key up that was never down."""
    assert press(WindowKeys(rig.screen), (DOWN, pygame.K_q), (UP, pygame.K_q), (UP, pygame.K_v)) == []


def test_two_keys_of_one_meaning_are_one(rig: WindowRig) -> None:
    """Right and up held together are one forward: down with the first, up with the last."""
    keys = WindowKeys(rig.screen)
    moves = [(DOWN, pygame.K_RIGHT), (DOWN, pygame.K_UP), (UP, pygame.K_RIGHT)]
    assert press(keys, *moves) == [Edge("forward", True, 1.0)]
    assert press(keys, (UP, pygame.K_UP)) == [Edge("forward", False, 1.0)]


@pytest.mark.parametrize("kind", [pygame.QUIT, pygame.WINDOWFOCUSLOST])
def test_a_window_left_lifts_its_keys(rig: WindowRig, kind: int) -> None:
    """No key stays down when its key up will never be heard of."""
    keys = WindowKeys(rig.screen)
    press(keys, (DOWN, pygame.K_v))
    pygame.event.post(pygame.event.Event(kind))
    assert keys.read(2.0) == [Edge("vary", False, 2.0)]
    assert keys.closed == rig.screen.closed == (kind == pygame.QUIT)


def test_a_closed_window_ends_the_looking(rig: WindowRig) -> None:
    """Fifty looks a second while it is open, none when it is closed; the screen asks for nothing either."""
    keys = WindowKeys(rig.screen)
    assert keys.due() == 0.0
    keys.read(5.0)
    assert keys.due() == 5.0 + POLL
    pygame.event.post(pygame.event.Event(pygame.QUIT))
    keys.read(6.0)
    assert keys.due() is None
    assert keys.read(7.0) == []


def test_a_closed_window_holds_nobody_up(rig: WindowRig) -> None:
    """Whoever waits for a flip when the window is closed under it still gets one, though nothing is drawn."""
    before = rig.picture()
    rig.screen.flip(full(rig, NTSC_240P, 2))
    rig.screen.closed = True
    assert len(rig.screen.read(rig.wait())) == 1
    assert rig.picture() == before


def test_a_resized_window_is_drawn_again(rig: WindowRig) -> None:
    """A window of another size shows the same picture, as large as it now may be."""
    keys = WindowKeys(rig.screen)
    before = rig.picture()
    pygame.display.set_mode((1641, 1200), pygame.RESIZABLE)
    pygame.event.post(pygame.event.Event(pygame.VIDEORESIZE, size=(1641, 1200), w=1641, h=1200))
    keys.read(1.0)
    assert rig.picture() == before
