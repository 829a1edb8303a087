"""The presenter on a memory screen that counts what it is asked, with late and lost flips and broken patterns."""

import random
from typing import Any

import numpy as np
import pytest

from appliance.activities.showing import Caption
from appliance.hardware.screens.base import ScreenTrouble
from appliance.hardware.screens.memory import MemoryScreen
from appliance.patterns.catalogue import find_pattern
from appliance.patterns.picture import Frame
from appliance.service.painter import Painter, PictureFailed
from appliance.service.presenter import FLIP_LATE, KEPT_SURFACES, Presenter
from appliance.service.views import View
from appliance.service.waiter import SimulatedWaiter
from appliance.settings.tree import Choice
from appliance.video.formats import FORMATS, find_format

NTSC, PAL = Choice("240p", "NTSC"), Choice("288p", "PAL")
FIELD = float(FORMATS["240p"].field_time)
WHITE, RED = View(NTSC, "white", "100"), View(NTSC, "red", "100")
MOVING = View(NTSC, "moving-crosshatch", "across", moving=True)


class QuickPainter(Painter):
    """Draws no picture but a plain one of the right size, its words numbered by the view; patterns named fail."""

    def __init__(self, *failing: str) -> None:
        super().__init__()
        self.failing, self.drawn = failing, list[str]()

    def frame(self, view: View, field: int) -> Frame:  # noqa: ARG002 - as the painter's
        """As the painter's."""
        self.drawn.append(view.pattern)
        if view.pattern in self.failing:
            raise PictureFailed(f"{view.pattern}: no")
        fmt = find_format(view.choice.format)
        size = (fmt.lines + 100, fmt.samples + 200) if view.moving else (fmt.lines, fmt.samples)
        return np.full(size, hash(view) & 0xFFFFFF, np.uint32)

    def plain(self, view: View, words: tuple[str, ...]) -> Frame:
        """As the painter's, the words kept."""
        self.drawn.append(" / ".join(words))
        fmt = find_format(view.choice.format)
        return np.zeros((fmt.lines, fmt.samples), np.uint32)


class Rig:
    """A presenter and the time it lives in."""

    def __init__(self, painter: Painter | None = None, **screen: Any) -> None:
        self.waiter = SimulatedWaiter()
        self.screen = MemoryScreen(self.waiter.clock, **screen)
        self.painter = painter or QuickPainter()
        self.presenter = Presenter(self.screen, self.painter)

    def want(self, view: View) -> None:
        """Want it now."""
        self.presenter.want(view, self.waiter.now)

    def run(self, seconds: float) -> list[View]:
        """Let time pass, reading whenever something is due; the views that went up."""
        end, shown = self.waiter.now + seconds, list[View]()
        while (due := self.presenter.due()) is not None and due <= end:
            self.waiter.wait([], due)
            shown += [view for view, _ in self.presenter.read(self.waiter.now)]
        self.waiter.now = end
        return shown


def test_the_newest_wish_goes_up_as_soon_as_the_screen_is_free() -> None:
    """One flip at a time, so what was wanted in between is passed over; then nothing is due."""
    rig = Rig()
    rig.want(WHITE)
    for pattern in ("red", "green", "blue"):
        rig.want(View(NTSC, pattern, "100"))
    assert [view.pattern for view in rig.run(1)] == ["white", "blue"]
    assert rig.presenter.due() is None


def test_a_view_wanted_again_costs_nothing() -> None:
    """Neither drawing nor a flip."""
    rig = Rig()
    rig.want(WHITE)
    rig.run(1)
    rig.want(WHITE)
    assert rig.run(1) == []


def test_never_two_flips_at_once_whatever_is_wanted() -> None:
    """The memory screen raises ``RuntimeError`` at a second flip under way: ten thousand wishes at odd moments.

    Late and lost flips among them, moving pictures, two formats and captions; and at no time are more surfaces live
    than are kept.
    """
    dice = random.Random(11)  # noqa: S311 - repeatable is what is wanted
    late, lost = ({dice.randrange(20_000) for _ in range(400)} for _ in range(2))
    rig = Rig(late=late, lost=lost)
    views = [
        View(choice, pattern, "100", moving, caption, left)
        for choice in (NTSC, PAL)
        for pattern, moving in (("white", False), ("red", False), ("black", False), ("moving-crosshatch", True))
        for caption, left in ((None, ""), (Caption(("a", "b")), ""), (None, "7"))
        if not (moving and (caption or left))
    ]
    views = [view._replace(variant="across") if view.moving else view for view in views]
    most = 0
    for _ in range(10_000):
        rig.want(view := dice.choice(views))
        if dice.random() < 0.2:
            rig.presenter.prepare(dice.choice([other for other in views if other.choice == view.choice]))
        rig.run(dice.choice([0, 0.001, FIELD / 2, FIELD, 3.3 * FIELD]))
        most = max(most, rig.screen.live)
    assert most <= KEPT_SURFACES + 1
    rig.want(WHITE)
    rig.run(3)
    assert rig.presenter.up == WHITE


def test_a_lost_flip_is_asked_anew(caplog: pytest.LogCaptureFixture) -> None:
    """After a second, with the mode set again, and said in a log line."""
    rig = Rig(lost={0})
    rig.want(WHITE)
    rig.run(1)
    rig.want(RED)
    shown = rig.run(FLIP_LATE + 3 * FIELD)
    assert shown == [RED]
    assert "asking anew" in caplog.text
    assert rig.presenter.up == RED


def test_a_moving_picture_asks_for_a_flip_every_field() -> None:
    """One a field, one surface for all of them; it ends with the next wish."""
    rig = Rig(Painter())
    rig.want(MOVING)
    assert len(rig.run(100 * FIELD)) in (100, 101)
    assert rig.screen.live == 1
    rig.want(WHITE)
    assert rig.run(3 * FIELD)[-1] == WHITE
    assert rig.presenter.due() is None


def test_another_system_of_one_format_sets_the_mode_but_draws_nothing() -> None:
    """The samples are the same; the ``TV mode`` is not."""
    rig = Rig(painter := QuickPainter())
    rig.want(WHITE)
    rig.run(1)
    rig.want(WHITE._replace(choice=Choice("240p", "PAL-60")))
    rig.run(1)
    assert painter.drawn == ["white"]
    assert rig.screen.mode is not None
    assert rig.screen.mode.tv_mode == "PAL"


def test_what_was_prepared_goes_up_without_drawing() -> None:
    """Black for a panic is ready before it is wanted."""
    rig = Rig(painter := QuickPainter())
    rig.want(WHITE)
    rig.run(1)
    black = View(NTSC, "black", "0")
    rig.presenter.prepare(black)
    drawn = list(painter.drawn)
    rig.want(black)
    rig.run(1)
    assert painter.drawn == drawn == ["white", "black"]
    assert rig.presenter.up == black


def test_a_broken_pattern_shows_its_name_and_the_next_one_works() -> None:
    """Black with words instead of a lost signal; the fault is over with the next picture."""
    rig = Rig(painter := QuickPainter("red"))
    rig.want(WHITE)
    rig.run(1)
    rig.want(RED)
    assert rig.run(1) == [RED]
    assert rig.presenter.picture_failed
    assert painter.drawn[-1].startswith("red / ")
    assert not any(rig.screen.frame())
    rig.want(View(NTSC, "green", "100"))
    rig.run(1)
    assert not rig.presenter.picture_failed


def test_a_pattern_broken_in_earnest(caplog: pytest.LogCaptureFixture) -> None:
    """The true painter: an unknown variant is logged with its trace and letters stand on the screen."""
    rig = Rig(Painter())
    rig.want(View(NTSC, "white", "nonsense"))
    rig.run(1)
    greens = np.frombuffer(rig.screen.frame(), np.uint8)[1::4]
    assert 200 < np.count_nonzero(greens > 150) < greens.size // 8
    assert "white:nonsense in 240p cannot be drawn" in caplog.text


def test_a_broken_moving_pattern_does_not_stop_the_loop() -> None:
    """Its words stand still in its place, in a surface no larger than the mode."""
    rig = Rig(Painter())
    rig.want(MOVING._replace(pattern="no-such-pattern"))
    rig.run(0.5)
    assert rig.presenter.picture_failed
    rig.want(WHITE)
    rig.run(0.5)
    assert rig.presenter.up == WHITE


def test_a_picture_drawn_before_is_no_broken_one() -> None:
    """The fault belongs to its pattern: neither a kept surface before it nor the way back to it is told wrongly."""
    rig = Rig(painter := QuickPainter("red"))
    told = []
    for view in (WHITE, RED, WHITE, RED, MOVING):
        rig.want(view)
        rig.run(1)
        told.append(rig.presenter.picture_failed)
    assert told == [False, True, False, True, False]
    assert painter.drawn.count("white") == 1


def test_trouble_of_the_screen_comes_out() -> None:
    """For the service to lose it and open it anew."""
    rig = Rig()
    rig.want(WHITE)
    rig.run(1)
    rig.screen.trouble = ScreenTrouble("gone")
    with pytest.raises(ScreenTrouble, match="gone"):
        rig.want(RED)
    with pytest.raises(ScreenTrouble, match="gone"):
        rig.presenter.read(rig.waiter.now)


def test_the_end_is_black(tmp_path: object) -> None:
    """From any picture, also from a moving one, within a moment."""
    for view in (WHITE, MOVING):
        rig = Rig(Painter())
        rig.want(view)
        rig.run(1)
        rig.presenter.end_in_black(rig.waiter)
        assert not any(rig.screen.frame())
        assert rig.waiter.now < 1 + 3 * FIELD


def test_a_screen_that_never_flips_again_does_not_hold_up_the_end() -> None:
    """At most a moment, then the service goes on without black."""
    rig = Rig(Painter(), lost=range(100))
    rig.want(WHITE)
    rig.run(1)
    rig.presenter.end_in_black(rig.waiter)
    assert rig.waiter.now <= 1 + FLIP_LATE + 0.1


def test_a_picture_shown_is_the_one_drawn_at_its_field() -> None:
    """Each window of a moving picture equals the field drawn by itself."""
    frames: list[bytes] = []
    rig = Rig(Painter())
    rig.screen._on_flip = lambda *_: frames.append(rig.screen.frame())
    rig.want(MOVING)
    rig.run(7.5 * FIELD)
    entry, variant = find_pattern("moving-crosshatch:across")
    picture = entry.draw(FORMATS["240p"], variant)
    for number, frame in enumerate(frames):
        assert frame == np.ascontiguousarray(picture.field(number, 240, 720)).astype("<u4").tobytes()
