"""The whole loop in simulated time, on a memory screen."""

from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from appliance.activities.dose import SHIFT_TIME
from appliance.errors import Refused
from appliance.hardware.keys.protocol import Keys
from appliance.hardware.screens.base import Flip, ModeRefused, NoConnector
from appliance.hardware.screens.memory import MemoryScreen, MemorySurface
from appliance.hardware.sound.memory import MemorySound
from appliance.patterns.catalogue import find_pattern
from appliance.patterns.picture import Frame, Picture, Turns
from appliance.presses.edges import Edge
from appliance.service.assemble import Hardware, Memory, assemble
from appliance.service.service import Service
from appliance.service.views import View
from appliance.service.waiter import SimulatedWaiter
from appliance.settings import load
from appliance.video.formats import FORMATS, Format
from appliance.video.modeline import Mode

FIELD = float(FORMATS["240p"].field_time)


class Plan:
    """Keys whose edges stand in a plan: the simplest outside world."""

    def __init__(self, edges: Sequence[tuple[float, str, bool]]) -> None:
        self.edges = [Edge(key, down, at) for at, key, down in edges]

    def fileno(self) -> None:
        """Nothing to wait on."""

    def due(self) -> float | None:
        """The next edge of the plan."""
        return self.edges[0].at if self.edges else None

    def read(self, now: float) -> list[Edge]:
        """The edges up to now."""
        come = [edge for edge in self.edges if edge.at <= now]
        self.edges = self.edges[len(come) :]
        return come

    def close(self) -> None:
        """Nothing to let go."""


class Log:
    """Lamps and watcher in one: keeps what went up and what was lit."""

    def __init__(self) -> None:
        self.pictures: list[tuple[float, View]] = []
        self.lit: list[tuple[float, tuple[bool, bool, bool]]] = []
        self.now = (False, False, False)

    def picture(self, view: View, flip: Flip) -> None:
        """As a watcher."""
        self.pictures.append((flip.stamp, view))

    def lamps(self, lit: tuple[bool, bool, bool], now: float) -> None:
        """As a watcher."""
        self.lit.append((now, lit))

    def set(self, ready: bool, running: bool, attention: bool) -> None:
        """As lamps."""
        self.now = (ready, running, attention)

    def close(self) -> None:
        """Nothing to let go."""

    def first(self, pattern: str, after: float = 0.0) -> float:
        """When ``pattern`` first went up after a time."""
        return next(at for at, view in self.pictures if view.pattern == pattern and at >= after)


class Stage:
    """A service with everything it needs, in simulated time."""

    def __init__(
        self, tmp_path: Path, *edges: tuple[float, str, bool], screen: MemoryScreen | None = None, **more: object
    ) -> None:
        self.waiter, self.log = SimulatedWaiter(), Log()
        self.sound = MemorySound()
        self.screen = screen or MemoryScreen(self.waiter.clock)
        self.openings: Iterator[MemoryScreen | Exception] = iter([self.screen])
        hardware = Hardware(self._open, (("plan", lambda: Plan(edges)),), lambda: self.log, lambda: self.sound)
        memory = Memory(str(tmp_path), "mark")
        self.service: Service = assemble(load(), hardware, memory, self.waiter, watcher=self.log, **more)  # type: ignore[arg-type]

    def _open(self) -> MemoryScreen:
        opening = next(self.openings, self.screen)
        if isinstance(opening, Exception):
            raise opening
        return opening

    def run(self, seconds: float) -> "Stage":
        """Let so many seconds pass; the service ends after them."""
        on_flip = self.screen._on_flip
        self.last_frame = b"unseen"

        def keep(surface: MemorySurface, at: tuple[int, int], flip: Flip) -> None:
            self.last_frame = self.screen.frame()
            if on_flip:
                on_flip(surface, at, flip)

        self.screen._on_flip = keep
        self.service.run(seconds)
        return self


def tap(key: str, at: float) -> tuple[tuple[float, str, bool], tuple[float, str, bool]]:
    """A short press."""
    return (at, key, True), (at + 0.1, key, False)


def test_forward_puts_up_the_next_pattern_within_a_field(tmp_path: Path) -> None:
    """From the edge that acts to the flip: less than a field, since drawing takes no simulated time."""
    stage = Stage(tmp_path, *tap("forward", 5.0)).run(8)
    assert stage.log.pictures[0][1].pattern == "crosshatch"
    went_up = stage.log.first("moving-crosshatch")
    assert 5.0 <= went_up <= 5.0 + FIELD


def test_the_white_stress_lasts_its_count_of_fields_and_ends_in_purity(tmp_path: Path) -> None:
    """White stands from its flip for 601 fields (10 s at 262 lines, rounded up), then red, green, blue."""
    stage = Stage(tmp_path, *tap("go", 3.0), *tap("go", 4.0))
    stage.service.box.show("white", "100", 0.0)
    stage.run(60)
    white = stage.log.first("white", 4.0)
    assert round((stage.log.first("red") - white) / FIELD) == 601
    assert [stage.log.first(key) for key in ("red", "green", "blue")] == sorted(
        stage.log.first(key) for key in ("red", "green", "blue")
    )


def test_a_panic_press_is_black_at_the_next_field_and_stays(tmp_path: Path) -> None:
    """Any key's edge down in full white: black with the next flip, for as long as nobody presses again."""
    stage = Stage(tmp_path, *tap("go", 3.0), *tap("go", 4.0), *tap("note", 7.005))
    stage.service.box.show("white", "100", 0.0)
    stage.run(500)
    assert stage.log.first("black", 5.0) - 7.005 <= 2 * FIELD
    assert stage.log.pictures[-1][1].pattern == "black"
    assert [lit for _, lit in stage.log.lit[-4:] if lit[2]], "the attention lamp says that black is meant"


def test_a_moving_picture_takes_every_field_and_counts_the_missed(tmp_path: Path) -> None:
    """The window moves by the true field number, so a late flip jumps and the pace stays exact."""
    waiter = SimulatedWaiter()
    seen: list[tuple[int, tuple[int, int]]] = []
    screen = MemoryScreen(waiter.clock, late={200}, on_flip=lambda _, at, flip: seen.append((flip.sequence, at)))
    stage = Stage(tmp_path, *tap("go", 1.0), *tap("go", 2.0), screen=screen)
    screen._clock = stage.waiter.clock
    stage.service.box.show("moving-crosshatch", "across", 0.0)
    stage.run(10)
    begun = next(field for field, (x, _) in seen if x) - 1
    way = find_pattern("moving-crosshatch")[0].draw(FORMATS["240p"], "across").way
    assert way is not None
    off = [field for field, at in seen if field > begun and at != way.at(field - begun)]
    assert len(off) == 2, "the late flip shows what was meant for the field before; black at the end stands at 0"
    assert stage.service._screen.part is not None
    assert stage.service._screen.part.missed == 1


def test_a_fist_on_the_keys_makes_black_and_it_stays(tmp_path: Path) -> None:
    """Two keys in one pass, and a third a moment later: black until a key half a second on."""
    stage = Stage(
        tmp_path, *tap("go", 3.0), *tap("go", 4.0), (7.0, "go", True), (7.0, "note", True), (7.01, "vary", True)
    )
    stage.service.box.show("white", "100", 0.0)
    stage.run(60)
    assert stage.log.pictures[-1][1].pattern == "black"


def test_a_key_that_bounces_does_not_skip_the_caution(tmp_path: Path) -> None:
    """Two short presses within a tenth of a second: the caution stands, and white does not come."""
    bounce = ((3.0, "go", True), (3.025, "go", False), (3.06, "go", True), (3.09, "go", False))
    stage = Stage(tmp_path, *bounce)
    stage.service.box.show("white", "25", 0.0)
    stage.run(20)
    assert "go starts" in "".join(view.words for _, view in stage.log.pictures)
    assert all(view.variant != "100" for _, view in stage.log.pictures if view.pattern == "white")


def test_a_refused_format_leaves_the_old_one_standing(tmp_path: Path) -> None:
    """The picture never goes; the offer is taken back and says so; the lamp stays ready."""
    pair = ((2.0, "go", True), (2.1, "vary", True), (4.3, "vary", False), (4.4, "go", False))
    stage = Stage(tmp_path, *pair)
    started = stage.screen.start

    def refuse_480i(mode: Mode, surface: MemorySurface, at: tuple[int, int] = (0, 0)) -> None:
        if mode.modeline.interlaced:
            raise ModeRefused("480i: not today")
        started(mode, surface, at)

    stage.screen.start = refuse_480i  # type: ignore[method-assign]
    stage.run(15)
    assert {view.choice.format for _, view in stage.log.pictures} == {"240p"}
    assert "refused" in "".join(view.words for _, view in stage.log.pictures)
    assert [lit for at, (lit, _, _) in stage.log.lit if at > 0.1 and not lit] == []


def test_a_vary_held_when_its_source_opens_late_still_counts(tmp_path: Path) -> None:
    """A pad that is found seconds after the start is a way out too."""
    stage = Stage(tmp_path, (0.0, "vary", True), (8.0, "vary", False))
    plan = stage.service._keys[0]._opener()
    openings: Iterator[Keys | Exception] = iter([OSError("not yet"), plan])

    def late() -> Keys:
        opening = next(openings)
        if isinstance(opening, Exception):
            raise opening
        return opening

    stage.service._keys[0]._opener = late
    stage.run(12)
    assert "let go to keep" in "".join(view.words for _, view in stage.log.pictures)


def test_a_still_picture_wakes_nobody(tmp_path: Path) -> None:
    """After the caption is gone and the place is kept, nothing is due but the shift after minutes, if there is one."""
    stage = Stage(tmp_path)
    stage.run(10)
    assert stage.service._due(None) == SHIFT_TIME
    even = Stage(tmp_path)
    even.service.box.show("grey", "50", 0.0)
    even.run(10)
    assert even.service._due(None) is None


def test_a_missing_connector_is_told_and_tried_again(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    """The lamp blinks twice, one log line says what to do, and the picture comes when the connector does."""
    stage = Stage(tmp_path)
    stage.openings = iter([NoConnector("no composite connector"), NoConnector("no composite connector")])
    stage.run(9)
    assert sum("no composite connector" in record.message for record in caplog.records) == 1
    assert [lit[2] for at, lit in stage.log.lit if at < 1.2].count(True) == 2
    assert stage.log.pictures[0][0] == pytest.approx(4.0)


def test_the_place_is_remembered(tmp_path: Path) -> None:
    """Pattern and variant stand where they were when the box comes up again."""
    Stage(tmp_path, *tap("forward", 2.0), *tap("vary", 4.0)).run(10)
    again = Stage(tmp_path).run(1)
    assert again.log.pictures[0][1][1:3] == ("moving-crosshatch", "down")


def test_wrong_settings_are_told_on_the_screen_until_a_key(tmp_path: Path) -> None:
    """The card names file and line; the lamp blinks once; a key leads on."""
    stage = Stage(tmp_path, *tap("note", 30.0), mistake=Refused("a/b.yaml:12: format: is 'x'"))
    stage.run(32)
    assert all("b.yaml:12" in view.words for at, view in stage.log.pictures if FIELD <= at < 30)
    assert "b.yaml" not in stage.log.pictures[-1][1].words


def test_the_end_is_black_with_sync_and_dark_lamps(tmp_path: Path) -> None:
    """Stopping puts black up first, then lets go."""
    stage = Stage(tmp_path).run(5)
    assert not any(stage.last_frame)
    assert stage.log.now == (False, False, False)


def test_what_is_shown_is_what_is_drawn(tmp_path: Path) -> None:
    """The bare picture on the screen equals the pattern's own drawing, bit for bit."""
    frames: list[bytes] = []
    stage = Stage(tmp_path)
    stage.screen._on_flip = lambda *_: frames.append(stage.screen.frame())
    stage.run(8)
    entry, variant = find_pattern("crosshatch")
    drawn = entry.draw(FORMATS["240p"], variant).frame
    assert np.frombuffer(frames[1], np.uint32).reshape(240, 720).tolist() == drawn.tolist()


TURNS = Turns(((0, 30), (1, 30)), lit=frozenset({1}))


def two_turns(fmt: Format, variant: str) -> Picture:
    """Black for half a second, white for half a second, the lamp with the white."""
    black: Frame = np.zeros((fmt.lines, fmt.samples), np.uint32)
    return Picture(black, more=(black + np.uint32(0xFFFFFF),), turns=TURNS)


def test_frames_taken_in_turn_cost_no_copy_and_light_their_lamp(tmp_path: Path) -> None:
    """Each frame stands its fields, is handed over once, and the running lamp is lit with the flip that brings it."""
    stage = Stage(tmp_path, *tap("go", 1.0), *tap("go", 2.0))
    taken: list[tuple[int, int]] = []
    stage.screen._on_flip = lambda surface, _, flip: taken.append((flip.sequence, surface.rows[0]))
    presenter = stage.service._screen.ensure(0.0)
    assert presenter is not None
    draw = presenter._painter._picture
    presenter._painter.picture = cache(
        lambda f, p, v: two_turns(FORMATS[f], v) if p == "moving-crosshatch" else draw(f, p, v)
    )
    stage.service.box.show("moving-crosshatch", "across", 0.0)
    stage.run(6)
    begun = next(field for field, byte in taken if byte) - 30
    moving = [(field - begun, byte) for field, byte in taken if begun <= field < begun + 200]
    assert [byte for _, byte in moving] == [255 * TURNS.index(field) for field, _ in moving]
    lit = [at for at, lamps in stage.log.lit if lamps[1] and at > 2.2]
    assert lit[0] == pytest.approx((begun + 30) * FIELD)
    assert stage.screen.live <= 6


def test_a_tone_is_started_by_go_and_stopped_by_any_key(tmp_path: Path) -> None:
    """Nothing sounds by itself; any key stops it and does nothing else; another side is chosen and started anew."""
    keys = (("go", 2.0), ("vary", 4.0), ("vary", 4.5), ("go", 5.0), ("note", 7.0))
    stage = Stage(tmp_path, *(edge for key, at in keys for edge in tap(key, at)))
    stage.service.box.show("tone", "both", 0.0)
    stage.run(8)
    assert stage.sound.played == ["both", "", "left", "", ""]
