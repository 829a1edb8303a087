"""Puts the service together from settings and hardware: the one list of what meets what."""

import logging
import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from appliance.activities.box import Box, Place, Times
from appliance.activities.troubles import Trouble
from appliance.errors import Refused
from appliance.hardware import supervisor
from appliance.hardware.health import Health
from appliance.hardware.keys.protocol import Keys
from appliance.hardware.lamps.protocol import Lamps
from appliance.hardware.screens.protocol import Screen
from appliance.hardware.sound.protocol import Sound
from appliance.patterns.catalogue import catalogue
from appliance.presses.reader import Reader
from appliance.records.entries import Moment
from appliance.service.backroom import Backroom
from appliance.service.early import Early
from appliance.service.first_light import read_kept, write_kept
from appliance.service.health_watch import UNKNOWN, HealthWatch
from appliance.service.keeper import Keeper
from appliance.service.opening import Opening
from appliance.service.painter import Painter
from appliance.service.presenter import Presenter
from appliance.service.scribe import Archive, Scribe
from appliance.service.service import Aides, Parts, Service, Watcher
from appliance.service.slot import Slot
from appliance.service.views import View
from appliance.service.waiter import Waiter
from appliance.service.wear import Wear
from appliance.settings import Settings
from appliance.settings.tree import Choice
from appliance.video.formats import check_system, find_format, find_mode

if TYPE_CHECKING:
    from appliance.service.menu import Menu

log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Hardware:
    """How to open each part; every opener may be called again after a part was lost.

    ``closed``: the person closed the window. ``off`` asks for the machine to be switched off, False when nobody can
    be asked. ``health`` tells how the board is. For hours of reckoned time ``every_field`` False puts a moving
    picture up once, without moving it, and with ``blinks`` False no lamp that blinks wakes the loop.
    """

    screen: Callable[[], Screen]
    keys: tuple[tuple[str, Callable[[], Keys]], ...]
    lamps: Callable[[], Lamps]
    sound: Callable[[], Sound]
    closed: Callable[[], bool] = lambda: False
    off: Callable[[], bool] = lambda: False
    health: Callable[[], Health] = lambda: UNKNOWN
    every_field: bool = True
    blinks: bool = True


@dataclass(frozen=True)
class Memory:
    """Where the box remembers its place, and the mark of the settings under which it does; ``folder`` None: nowhere.

    ``archive``: where it keeps what runs, if anywhere.
    """

    folder: str | None
    mark: str
    archive: Archive | None = None


def assemble(
    settings: Settings,
    hardware: Hardware,
    memory: Memory,
    waiter: Waiter,
    *,
    mistake: Refused | None = None,
    early: Early | None = None,
    format_name: str | None = None,
    watcher: Watcher | None = None,
) -> Service:
    """The service, ready to run.

    ``format_name`` overrides what is set and remembered, for this run alone: nothing of it is kept.
    """
    kept = _kept_place(memory)
    place = _first_place(settings, kept, format_name)
    times = Times(settings.stress.seconds, settings.stress.purity, settings.caption.seconds)
    painter, now = Painter(), waiter.clock()
    presenter = _presenter_opener(hardware.screen, painter, early, every_field=hardware.every_field)
    box = Box(tuple(catalogue().values()), settings.choices, times, place, now)
    if mistake:
        log.error("%s (lamp code %d); built-in settings are used", mistake, Trouble.SETTINGS)
        box.troubles.add(Trouble.SETTINGS)
    return Service(
        box,
        waiter,
        Reader(settings.keys.debounce_ms / 1000),
        Parts(
            Slot("screen", presenter, Trouble.CARD),
            [Slot(name, opener, Trouble.KEYS) for name, opener in hardware.keys],
            Slot("lamps", hardware.lamps, None),
            Slot("sound", hardware.sound, None),
        ),
        Keeper(_writer(memory if format_name is None else Memory(None, ""), painter, settings.screen.connector), kept),
        _aides(box, hardware, memory.archive, settings.caption.seconds, waiter.clock),
        Systemd(hardware.off),
        watcher=watcher,
        card=_card(mistake),
        closed=hardware.closed,
        blinks=hardware.blinks,
    )


def _aides(
    box: Box, hardware: Hardware, archive: Archive | None, words_time: float, clock: Callable[[], float]
) -> Aides:
    room = Backroom(threaded=archive is not None and archive.threaded)
    health = HealthWatch(hardware.health, room, box.tell, box.host.too_hot)
    scribe = Scribe(archive, room, box.tell, lambda: health.health, box.host.answer)

    def menu() -> "Menu":
        from appliance.service.menu import read_menu

        return read_menu(_moments(archive, clock), lambda: health.low_until, words_time)

    return Aides(room, scribe, Wear(room, box.tell), health, Opening(box, room, scribe, menu))


def _moments(archive: Archive | None, clock: Callable[[], float]) -> Callable[[float], Moment]:
    """When a time of the monotonic clock was, by what the wall clock says now."""

    def moment(at: float) -> Moment:
        wall, synced = archive.wall() if archive else (0.0, False)
        return Moment(archive.boot if archive else "", at, wall - (clock() - at), synced)

    return moment


class Systemd:
    """What the service says to systemd; ``off`` asks for the machine to be switched off."""

    def __init__(self, off: Callable[[], bool]) -> None:
        self.interval = supervisor.watchdog_interval()
        self.power_off, self._said = off, False

    def ready(self) -> None:
        """Said once, with the first picture."""
        if not self._said:
            self._said = supervisor.notify(supervisor.READY)

    def alive(self) -> None:
        """Pet the watchdog."""
        supervisor.notify(supervisor.ALIVE)

    def stopping(self) -> None:
        """On the way out."""
        supervisor.notify(supervisor.STOPPING)


def ask_for_power_off(run_folder: Path) -> bool:
    """Leave the request for the unit that may switch the box off; False when it cannot be left."""
    try:
        supervisor.ask_poweroff(run_folder)
    except OSError as error:
        log.error("the box cannot be switched off by keys: %s", error)
        return False
    return True


def _card(mistake: Refused | None) -> tuple[str, ...]:
    """The mistake in two caption lines: where it is, and what happens instead."""
    if mistake is None:
        return ()
    where = str(mistake).split(": ", 1)[0].rsplit("/", 1)[-1]
    return f"Settings wrong: {where}"[:28], "built-in ones used · any key"


def _kept_place(memory: Memory) -> Place | None:
    kept = read_kept(memory.folder, memory.mark) if memory.folder else None
    if kept is None:
        return None
    facts = kept.facts
    try:
        system = check_system(find_format(facts["format"]), facts["system"])
        return Place(Choice(facts["format"], system), facts["pattern"], facts["variant"])
    except (KeyError, Refused):  # of another version of the box
        return None


def _first_place(settings: Settings, kept: Place | None, format_name: str | None) -> Place:
    place = kept or Place(Choice(settings.format, settings.system), "crosshatch", "")
    if format_name is None or format_name == place.choice.format:
        return place
    systems = find_format(format_name).systems
    system = place.choice.system if place.choice.system in systems else systems[0]
    return Place(Choice(format_name, system), place.pattern, place.variant)


def _presenter_opener(
    opener: Callable[[], Screen], painter: Painter, early: Early | None, *, every_field: bool
) -> Callable[[], Presenter]:
    waiting = [early] if early else []

    def open_presenter() -> Presenter:
        if not waiting:
            return Presenter(opener(), painter, every_field=every_field)
        first = waiting.pop()
        facts = first.kept.facts
        presenter = Presenter(first.screen, painter)
        view = View(Choice(facts["format"], facts["system"]), facts["pattern"], facts["variant"])
        presenter.adopt(first.kept.mode, view, first.surface, first.at)
        first.kept.rows = b""  # the screen has its own copy, and this one would be held for good
        return presenter

    return open_presenter


def _writer(memory: Memory, painter: Painter, connector: str) -> Callable[[Place], None]:
    def write(place: Place) -> None:
        if memory.folder is None:
            return
        fmt = find_format(place.choice.format)
        frame = painter.frame(View(place.choice, place.pattern, place.variant), 0)
        facts = {
            "settings": memory.mark,
            "format": place.choice.format,
            "system": place.choice.system,
            "pattern": place.pattern,
            "variant": place.variant,
            "connector": connector,
        }
        Path(memory.folder).mkdir(parents=True, exist_ok=True)
        write_kept(memory.folder, facts, find_mode(fmt, place.choice.system), frame.astype("<u4").tobytes())

    return write


def log_to_stderr() -> None:
    """Plain lines on standard error; under systemd the journal adds the time."""
    plain = "%(message)s" if os.environ.get("JOURNAL_STREAM") else "%(asctime)s %(message)s"
    logging.basicConfig(level=logging.INFO, format=plain)
