"""What a bench does to a box, one trouble after the other: the picture stays or comes back, and somebody is told.

Beside these: a card held by another program and a GPIO chip that is busy at the start (``test_slot``), a jammed key at
power-up (``tests/activities/test_box``), lamps that come back (``test_lost_lamps``), a full card under what is
remembered (``test_keeper``), disks of every badness under the records (``tests/records``).
"""

import logging
import sqlite3
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from appliance.activities.box import State as Box
from appliance.activities.soak_plan import Soak
from appliance.activities.soaking import State
from appliance.activities.troubles import Trouble
from appliance.errors import Refused
from appliance.hardware.health import Health
from appliance.hardware.keys.memory import MemoryKeys
from appliance.hardware.screens.base import CardBusy, Flip, NoConnector, ScreenTrouble
from appliance.hardware.screens.memory import MemoryScreen
from appliance.lettering.captions import fits
from appliance.patterns.catalogue import catalogue
from appliance.records.entries import Moment
from appliance.records.trouble import StoreTrouble, Why
from appliance.service import health_watch, scribe
from appliance.service.backroom import Backroom
from appliance.service.menu import Menu, read_menu
from appliance.service.opening import Opening
from appliance.service.painter import Painter
from appliance.service.presenter import Presenter
from appliance.service.viewings import Known, load_known
from appliance.service.views import View
from appliance.settings.tree import Choice
from appliance.video.formats import FORMATS
from tests.service.soaked import Powered, kept


def soaking(folder: Path, seconds: float = 30.0, **changes: Any) -> Powered:
    """The half-hour soak, its first picture up for so long."""
    return Powered(folder, blinks=False, **changes).begin("short").run(30.2).run(seconds)


def up(box: Powered) -> View:
    """What stands on the screen."""
    return box.watch.pictures[-1][1]


# Keys


@pytest.mark.parametrize("key", ["go", "note", "5"])
def test_a_stuck_key_is_named_and_no_longer_in_the_way(key: str, tmp_path: Path) -> None:
    """After half a minute: the words name it, the lamp counts, the other keys work; over when it comes up."""
    box = Powered(tmp_path, blinks=False).run(1)
    box.service.box.show("grey", "50", 1.0)
    box.keys.press(key, 2.0, 100.0)
    box.run(32.5)
    assert f"Key stuck: {key}" in box.words
    assert box.service.box.troubles == {Trouble.KEYS}
    before = box.picture
    box.press("forward")
    assert box.picture != before
    box.run(100)
    assert box.service.box.troubles == set()


def test_a_key_that_sticks_in_a_soak_does_not_stop_it(tmp_path: Path) -> None:
    """The soak goes on, and its log names the key."""
    box = soaking(tmp_path)
    box.keys.stick("5")
    box.press("5")
    box.run(60)
    assert box.at(State.RUNNING)
    assert [event.words for event in kept(tmp_path).events if event.kind == "warned"] == [
        "Key stuck: 5 ignored until it comes up"
    ]


def test_a_chattering_key_acts_once(tmp_path: Path) -> None:
    """``go`` of a worn key pauses the soak, and does not at once go on again."""
    box = soaking(tmp_path)
    at = box.waiter.now
    box.keys.chatter("go", True, at + 0.1)
    box.keys.chatter("go", False, at + 0.3)
    box.run(1)
    assert box.at(State.PAUSED)


def test_a_pad_pulled_out_and_put_back(tmp_path: Path) -> None:
    """The lamp counts, the soak goes on; the pad put back is found by itself, and works."""
    box = soaking(tmp_path)
    box.keys.unplug(box.waiter.now + 1)
    opener = box.service._keys[0]._opener
    gone: list[Exception] = [OSError(19, "No such device")] * 3

    def plugged() -> Any:
        if gone:
            raise gone.pop()
        return opener()

    box.service._keys[0]._opener = plugged
    box.run(4)
    assert box.service.box.troubles == {Trouble.KEYS}
    box.keys = MemoryKeys()
    box.run(10)
    assert box.service.box.troubles == set()
    assert box.at(State.RUNNING)
    box.press("go")
    assert box.at(State.PAUSED)


def test_gpio_busy_from_the_start(tmp_path: Path) -> None:
    """Another program has the lines: a picture all the same, the lamp's count, and the keys when it lets go."""
    box = Powered(tmp_path, blinks=False)
    opener, busy = box.service._keys[0]._opener, [OSError(16, "Device or resource busy")] * 4

    def lines() -> Any:
        if busy:
            raise busy.pop()
        return opener()

    box.service._keys[0]._opener = lines
    box.run(4)
    assert up(box).pattern == "crosshatch"
    assert box.service.box.troubles == {Trouble.KEYS}
    box.run(6)
    box.press("forward")
    assert up(box).pattern == "moving-crosshatch"


# Screen


@pytest.mark.parametrize("error", [NoConnector("no composite connector"), CardBusy("held"), ScreenTrouble("gone")])
def test_a_screen_lost_in_a_soak_and_back(error: ScreenTrouble, tmp_path: Path) -> None:
    """The soak waits; the picture comes back dim, whatever was up, and a key goes on."""
    box = soaking(tmp_path)

    def away() -> MemoryScreen:
        raise error

    box.openings = iter([away, away])
    box.screen.trouble = error
    box.run(2)
    assert box.at(State.PAUSED)
    assert box.service.box.troubles == {Trouble.NO_CONNECTOR if isinstance(error, NoConnector) else Trouble.CARD}
    box.screen = MemoryScreen(box.waiter.clock)
    box.run(10)
    assert box.service.box.troubles == set()
    assert (up(box).pattern, up(box).variant) == ("grey", "10")
    box.press("go")
    assert box.at(State.RUNNING)
    assert "screen lost" in [event.words for event in kept(tmp_path).events]


class Stopping(MemoryScreen):
    """Gives no flip any more once it has stopped, whatever is asked of it."""

    stopped = False

    def read(self, now: float) -> list[Flip]:
        """As the screen's."""
        return [] if self.stopped else super().read(now)

    def due(self) -> float | None:
        """As the screen's."""
        return None if self.stopped else super().due()


def test_flips_that_stop_coming(tmp_path: Path) -> None:
    """Asked anew, then the screen is opened anew, the soak waiting dim; no picture is taken for one that is up."""
    box = Powered(tmp_path, blinks=False)
    box.screen = screen = Stopping(box.waiter.clock)
    box.begin("short").run(40)
    assert box.at(State.RUNNING)
    screen.stopped = True
    box.press("forward")
    fresh = MemoryScreen(box.waiter.clock)
    box.openings = iter([lambda: fresh])
    box.run(20)
    assert box.at(State.PAUSED)
    assert fresh.up is not None
    assert up(box).pattern == "grey"


def test_a_pattern_that_raises_in_a_soak(tmp_path: Path) -> None:
    """Its name stands over black with sync, the lamp counts, and the next phase is right again and on time."""
    box = soaking(tmp_path)
    presenter = box.service._screen.part
    assert presenter is not None
    draw = presenter._painter._picture

    def broken(fmt: str, pattern: str, variant: str) -> Any:
        if pattern == "white":
            raise ZeroDivisionError("a fault in a pattern")
        return draw(fmt, pattern, variant)

    presenter._painter.picture = cache(broken)
    box.run(600)
    assert box.soaking.phase.pattern == up(box).pattern == "white"
    assert box.service.box.troubles == {Trouble.PICTURE}
    assert any(box.screen.frame()), "words"
    box.run(60)
    assert box.soaking.phase.pattern == up(box).pattern == "black"
    assert box.service.box.troubles == set()


class ShortOfMemory(MemoryScreen):
    """Takes pictures while there is room for them."""

    room = 10**9

    def surface(self, rows: Any, samples: int, lines: int) -> Any:
        """As the screen's."""
        self.room -= 1
        if self.room < 0:
            raise MemoryError
        return super().surface(rows, samples, lines)


def test_out_of_memory_is_told_like_a_pattern_that_raises(caplog: pytest.LogCaptureFixture) -> None:
    """Its name over black; with no room for even that the screen is opened anew; neither ends the loop."""
    now = [0.0]
    screen = ShortOfMemory(lambda: now[0])
    presenter = Presenter(screen, Painter())
    choice = Choice("240p", "NTSC")

    def want(pattern: str) -> None:
        presenter.want(View(choice, pattern, catalogue()[pattern].variants[0]), now[0])
        now[0] += 1
        presenter.read(now[0])

    want("white")
    screen.room = 0
    with pytest.raises(ScreenTrouble, match="no memory for any picture"):
        want("red")
    hungry = ShortOfMemory(lambda: now[0])
    presenter = Presenter(hungry, OutOnce())
    want("red")
    assert presenter.picture_failed
    assert any(hungry.frame())
    want("green")
    assert not presenter.picture_failed
    assert "no memory for red:100" in caplog.text


class OutOnce(Painter):
    """The memory is out for the first picture."""

    done = False

    def frame(self, view: View, field: int) -> Any:
        """As the painter's."""
        if not self.done:
            self.done = True
            raise MemoryError
        return super().frame(view, field)


# Settings


def test_broken_settings_and_a_cut_soak(tmp_path: Path) -> None:
    """The card comes first and waits for a key; then the cut soak tells of itself; the lamp counts throughout."""
    soaking(tmp_path).cut()
    box = Powered(tmp_path, "second", blinks=False, mistake=Refused("a/b.yaml:3: format: is 'x'")).run(20)
    assert box.words.startswith("Settings wrong: b.yaml:3")
    box.press("note")
    assert box.run(1).at(State.CUT)
    assert box.service.box.troubles == {Trouble.SETTINGS}


def test_a_broken_soak_file_is_left_out_and_told(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    """The others can be chosen; file and line are on the screen and in the log; the lamp counts."""
    box = Powered(tmp_path).run(1)
    service = box.service
    count = len(service.box.activities)

    def nothing() -> Known:
        return replace(load_known(), guides=())

    def loaded() -> tuple[list[Soak], list[Refused]]:
        return [], [Refused("/etc/x/mine.yaml:7: parts: last 9.0 hours; at most 8 are wanted")]

    def menu() -> Menu:
        return read_menu(lambda at: Moment("", at, at, False), lambda: 0.0, 4, nothing, loaded)

    service._opening = Opening(service.box, service._room, service._scribe, menu)
    box.press("go", 1.2)
    box.press("note")
    box.run(1)
    assert box.words == "Soak wrong: mine.yaml:7\nleft out · fieldmouse soak"
    assert len(service.box.activities) == count
    assert service.box.troubles == {Trouble.SETTINGS}
    assert "last 9.0 hours" in caplog.text


# Disk


class Disk:
    """Connects to SQLite as long as it is well; else says what SQLite says."""

    def __init__(self) -> None:
        self.code = 0

    def __call__(self, *words: Any, **more: Any) -> sqlite3.Connection:
        """As :func:`sqlite3.connect`."""
        return sqlite3.connect(*words, **more, factory=self._connection())

    def _connection(self) -> type[sqlite3.Connection]:
        disk = self

        class Connection(sqlite3.Connection):
            def execute(self, *words: Any) -> sqlite3.Cursor:
                if disk.code and not words[0].startswith("ROLLBACK"):
                    error = sqlite3.OperationalError("the disk is not well")
                    error.sqlite_errorcode = disk.code
                    raise error
                return super().execute(*words)

        return Connection


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (sqlite3.SQLITE_FULL, "Disk full: nothing is kept"),
        (sqlite3.SQLITE_READONLY, "the card is read-only"),
        (sqlite3.SQLITE_IOERR, "Nothing is kept: the disk"),
    ],
)
def test_a_disk_that_takes_nothing_in_mid_soak(
    code: int, words: str, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    """Said once on the screen, on the lamp while it lasts; the soak goes on; well again, nothing of it is missing."""
    disk = Disk()
    box = soaking(tmp_path, connect=disk)
    disk.code = code
    begun = box.waiter.now
    with caplog.at_level(logging.ERROR):
        box.run(300)
    assert box.at(State.RUNNING)
    assert words in box.watch.words(begun)
    assert box.service.box.troubles == {Trouble.KEEPING}
    assert sum("lamp code 6" in record.message for record in caplog.records) == 1
    disk.code = 0
    box.run(70)
    assert box.service.box.troubles == set()
    box.run_tended()
    box.press("go")
    record = kept(tmp_path)
    assert record.how == "complete"
    late = [beat.moment for beat in record.beats if begun < beat.moment.at < begun + 300]
    assert len(late) >= 4
    assert all(moment.wall == moment.at + 1.7e9 for moment in late), "as it was, not as it was written"


def test_a_disk_that_is_bad_from_the_start(tmp_path: Path) -> None:
    """A folder that cannot even be made: the soak runs all the same, and says at its start that nothing is kept."""
    (tmp_path / "file").write_text("in the way")
    box = soaking(tmp_path / "file" / "folder")
    assert box.at(State.RUNNING)
    assert "Nothing is kept" in box.watch.words()
    assert box.service.box.troubles == {Trouble.KEEPING}


def test_a_disk_full_for_hours_costs_no_more_memory(tmp_path: Path) -> None:
    """What waits is bounded: the oldest goes."""
    disk = Disk()
    box = soaking(tmp_path, connect=disk)
    disk.code = sqlite3.SQLITE_FULL
    for n in range(2 * scribe.MOST_WAITING):
        box.service.box.tell((f"warning {n}", ""), box.waiter.now)
    box.run(1)
    assert len(box.service._scribe._waiting) == scribe.MOST_WAITING


def test_records_found_damaged_while_open_are_let_be(tmp_path: Path) -> None:
    """Nothing more is written into them; the next start puts them aside and says so; the picture never goes."""
    disk = Disk()
    box = soaking(tmp_path, connect=disk)
    disk.code = sqlite3.SQLITE_CORRUPT
    box.run(200)
    assert "the records are damaged" in box.watch.words()
    assert box.at(State.RUNNING)
    box.cut()
    (tmp_path / "records.sqlite").write_bytes(b"rubbish" * 1000)
    again = Powered(tmp_path, "second", blinks=False).run(20)
    assert "Old records were damaged" in again.watch.words()
    assert again.service.box.state is Box.STEPPING


@pytest.mark.parametrize("kind", ["tmpfs", "overlay"])
def test_what_goes_with_the_power_is_said_before_it_is_kept(kind: str, tmp_path: Path) -> None:
    """At the start of each soak, on the screen."""
    box = Powered(tmp_path, blinks=False, mountinfo=lambda: f"1 1 0:1 / / rw - {kind} none rw\n").begin("short")
    box.run(30)
    assert "Nothing will be kept:" in box.watch.words()
    box.press("note", 1.2)
    box.press("go")
    begun = box.waiter.now
    box.begin("short").run(30)
    assert "Nothing will be kept:" in box.watch.words(begun)


# Clock, board


@pytest.mark.parametrize("years", [-30, 30])
def test_a_clock_that_jumps_by_years(years: int, tmp_path: Path) -> None:
    """Nothing is timed by it: the soak ends as it would have; both clocks stand in the records."""
    box = soaking(tmp_path)
    begun = box.waiter.now
    box.wall += years * 365.25 * 86_400
    box.run_tended()
    assert box.waiter.now - begun < 1800 + 545
    record = kept(tmp_path)
    walls = [event.moment.wall for event in record.events]
    assert abs(walls[-1] - walls[0]) > 29 * 365 * 86_400
    times = [event.moment.at for event in record.events]
    assert times == sorted(times)


def test_a_clock_that_was_never_set(tmp_path: Path) -> None:
    """Each record says so."""
    box = Powered(tmp_path, blinks=False)
    box.synced = False
    box.begin("short").run(100)
    assert {event.moment.synced for event in kept(tmp_path).events} == {False}


def test_too_hot_makes_the_soak_wait_dim(tmp_path: Path) -> None:
    """Dim, told on the screen and in the log, the lamp's count; going on while it is hot is dim again soon."""
    box = soaking(tmp_path)
    box.health = Health(None, 85.0)
    box.run(61)
    assert box.at(State.PAUSED)
    assert box.picture == ("grey", "10")
    assert box.service.box.troubles == {Trouble.HEALTH}
    assert "The box is too hot" in box.watch.words()
    assert box.words.startswith("Box too hot")
    box.press("go")
    assert box.run(40).at(State.PAUSED)
    box.health = Health(None, 60.0)
    box.run(61)
    assert box.service.box.troubles == set()
    box.press("go")
    assert box.run(61).at(State.RUNNING)
    assert "the box was too hot" in [event.words for event in kept(tmp_path).events]


@pytest.mark.parametrize(
    ("health", "words"),
    [(Health(True, 50.0), "Supply voltage too low:"), (Health(None, 50.0, True), "The box slows itself down:")],
)
def test_a_weak_supply_is_told_once_and_logged(health: Health, words: str, tmp_path: Path) -> None:
    """On the screen once, the lamp while it lasts; each heartbeat has what the board said; the soak goes on."""
    box = soaking(tmp_path)
    box.health = health
    box.run(300)
    assert box.at(State.RUNNING)
    said = [view.words for _, view in box.watch.pictures if words in view.words]
    assert len(said) == 1
    assert box.service.box.troubles == {Trouble.HEALTH}
    beat = kept(tmp_path).beats[-1]
    assert (beat.celsius, beat.undervoltage) == (50.0, health.undervoltage)


def test_a_board_that_tells_nothing_makes_no_noise(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    """No lamp, no word, no line in the log."""
    box = soaking(tmp_path)
    box.run(300)
    assert box.service.box.troubles == set()
    assert not [record for record in caplog.records if record.levelno >= logging.WARNING]


def test_all_words_of_troubles_fit_on_every_screen() -> None:
    """Two lines of at most 28 characters, in the safe width of every format."""
    said = [*scribe._WORDS.values(), scribe._OTHER, scribe.FLEETING, scribe.PUT_ASIDE]
    said += [lines for _, lines in health_watch._WORDS]
    said += [("Zone 4 lit more than 1:", "show something else"), ("Key stuck: forward", "ignored until it comes up")]
    said += [
        ("A soak was cut, and cannot", "be taken up any more"),
        ("Soak wrong: mine.yaml:7", "left out · fieldmouse soak"),
    ]
    for lines in said:
        for fmt in FORMATS.values():
            assert fits(lines, fmt), (lines, fmt.name)


def test_every_trouble_of_a_disk_has_words() -> None:
    """Whatever the store can say, the screen can say."""
    told: list[tuple[tuple[str, str], float]] = []
    for why in Why:
        room = Backroom(threaded=False)
        clerk = scribe.Scribe(None, room, lambda *words: told.append(words), lambda: health_watch.UNKNOWN)
        clerk._trouble(StoreTrouble("x", why), 0.0)
    assert len(told) == len(Why)
