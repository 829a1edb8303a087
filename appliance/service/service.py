"""The one loop: keys and screen events in, pictures and lamps out, asleep in between.

Each pass does the same things in the same order; what is due is asked of everybody, and the waiter sleeps until the
first of it. On a still picture nothing is due but the supervisor's watchdog.
"""

import logging
from collections.abc import Callable, Sequence
from typing import NamedTuple, Protocol

from appliance.activities.box import Box, State
from appliance.activities.hosted import Activity
from appliance.activities.pace import Pacer
from appliance.activities.showing import Showing, Signals
from appliance.activities.standing import Standing
from appliance.activities.troubles import Trouble
from appliance.hardware.keys.protocol import Keys, KeysTrouble
from appliance.hardware.lamps.protocol import Lamps
from appliance.hardware.screens.base import Flip, ModeRefused, ScreenTrouble
from appliance.hardware.sound.protocol import Sound
from appliance.presses.edges import VARY, Edge
from appliance.presses.reader import Reader
from appliance.service.backroom import Backroom
from appliance.service.health_watch import HealthWatch
from appliance.service.keeper import Keeper
from appliance.service.opening import Opening
from appliance.service.presenter import Presenter
from appliance.service.scribe import Scribe
from appliance.service.slot import Slot
from appliance.service.views import View, view_of
from appliance.service.waiter import Waiter
from appliance.service.wear import Wear

log = logging.getLogger(__name__)

Lit = tuple[bool, bool, bool]

AFTER_REFUSAL = 0.3
"""Seconds from a format refused to the next wish."""
POWER_UP = 10.0
"""Seconds after the start in which a key that is down when its source opens counts as held at power-up."""


class HasTrouble(Protocol):
    """Something that may be wrong."""

    @property
    def current(self) -> Trouble | None:
        """What is wrong now."""


class Watcher(Protocol):
    """Hears what the box does, for rehearsals."""

    def picture(self, view: View, flip: Flip) -> None:
        """``view`` went up."""

    def lamps(self, lit: Lit, now: float) -> None:
        """The lamps changed to ready, running, attention."""


class Supervisor(Protocol):
    """What started the box and watches over it."""

    def ready(self) -> None:
        """A picture is up, or the lamps say why there is none."""

    def alive(self) -> None:
        """Pet the watchdog."""

    def stopping(self) -> None:
        """The service is on its way out."""

    def power_off(self) -> bool:
        """Ask for the machine to be switched off; False when there is nobody to ask."""

    @property
    def interval(self) -> float | None:
        """Seconds between two signs of life, or None."""


class Parts(NamedTuple):
    """What may be missing, each in its slot."""

    screen: Slot[Presenter]
    keys: Sequence[Slot[Keys]]
    lamps: Slot[Lamps]
    sound: Slot[Sound]


class Aides(NamedTuple):
    """What is done beside the picture, and the room that it is done in."""

    room: Backroom
    scribe: Scribe
    wear: Wear
    health: HealthWatch
    opening: Opening


class Service:
    """Everything that runs, put together by ``assemble``."""

    def __init__(  # noqa: PLR0913 - the one place where everything meets
        self,
        box: Box,
        waiter: Waiter,
        reader: Reader,
        parts: Parts,
        keeper: Keeper,
        aides: Aides,
        supervisor: Supervisor,
        *,
        watcher: Watcher | None = None,
        card: tuple[str, ...] = (),
        closed: Callable[[], bool] = lambda: False,
        blinks: bool = True,
    ) -> None:
        self.box, self._waiter, self._reader = box, waiter, reader
        self._screen, self._keys, self._lamps, self._sound = parts
        self._keeper, self._supervisor, self._watcher, self._card = keeper, supervisor, watcher, card
        self._room, self._scribe, self._wear, self._health, self._opening = aides
        self._closed, self._blinks, self._standing = closed, blinks, Standing()
        self._lit: Lit | None = None
        self._told: Lamps | None = None
        self._side = ""
        self._begun = self._fresh = self._vary_down = self._stop = self._cut = self._asked_off = False
        self._stuck: tuple[str, ...] = ()
        self._read_once: list[Slot[Keys]] = []
        self._alive_at = self._started = waiter.clock()
        self._pacer, self._held_until = Pacer(), 0.0

    def run(self, until: float | None = None) -> None:
        """Loop until :meth:`stop`, until the clock says ``until``, or until nothing can ever happen again."""
        # Keys wait: opening them imports much, and the picture comes first.
        self._take_flips(self._waiter.clock())
        self._show(self._waiter.clock())
        while True:
            now = self._waiter.clock()
            self.step(now)
            over = self._stop or self._closed() or (until is not None and now >= until)
            if over or not self._waiter.wait(self._files(), self._due(until)):
                break
        self._finish()

    def viewing(self, name: str) -> Activity:
        """A viewing along the route ``name``, for a script; raises :class:`Refused` for an unknown one."""
        return self._opening.viewing(name)

    def stop(self) -> None:
        """Leave the loop after the current pass."""
        self._stop = True

    def cut(self) -> None:
        """The power is gone: leave the loop, and do nothing more to screen, lamps or records."""
        self._stop = self._cut = True

    def step(self, now: float) -> None:
        """One pass."""
        self._take_keys(now)
        self._tell_stuck(now)
        self._room.news(now)
        self._opening.look(now)
        self.box.tick(now)
        self._take_flips(now)
        self._show(now)
        self._sounds(now)
        self._light(now)
        self._look_after(now)

    def _take_keys(self, now: float) -> None:
        edges = [edge for slot in self._keys for edge in self._edges(slot, now)]
        for press in self._reader.take(sorted(edges, key=lambda edge: edge.at), now):
            if self.box.press(press):
                self._reader.spend()
        down = self._reader.held(VARY)
        if not self._begun:
            self._begun = True
            self.box.begin(now, card=self._card)
        if down and self._fresh and now < self._started + POWER_UP:
            self.box.cue("vary at power-up", now)
            self._reader.spend()
        self._fresh = False
        if self._vary_down and not down:
            self.box.vary_up(now)
        self._vary_down = down

    def _edges(self, slot: Slot[Keys], now: float) -> list[Edge]:
        keys = slot.ensure(now)
        try:
            edges = keys.read(now) if keys else []
            if keys and slot not in self._read_once:
                self._read_once.append(slot)
                self._fresh |= any(edge.down and edge.key == VARY for edge in edges)
            return edges
        except (KeysTrouble, OSError) as error:
            slot.lose(error, now, lambda part: part.close())
            # Keys and lamps sit on one chip: lamps never complain, so they are opened anew together.
            self._lamps.lose(error, now, lambda part: part.close())
            return []

    def _take_flips(self, now: float) -> None:
        presenter = self._screen.ensure(now)
        if presenter is None:
            # Up and running, though dark: the supervisor must not start it again and again for a missing connector.
            self._supervisor.ready()
            return
        try:
            shown = presenter.read(now)
        except ScreenTrouble as error:
            self._lose_screen(error, now)
            return
        for view, flip in shown:
            self.box.shown(view.pattern, flip.stamp, view.choice)
            self._wear.shown(view, flip.stamp)
            self._supervisor.ready()
            self._opening.begin()
            if self._watcher:
                self._watcher.picture(view, flip)

    def _show(self, now: float) -> None:
        presenter, showing = self._screen.part, self.box.showing()
        if presenter is None:
            return
        view = self._view(showing, now)
        self._held_until = self._pacer.ready(view.picture, now, urgent=self.box.urgent)
        if self._held_until > now:
            return
        self._pacer.passed(view.picture, now, urgent=self.box.urgent)
        try:
            presenter.want(view, now)
            if showing.ahead:
                presenter.prepare(View(self.box.choice, *showing.ahead))
        except ModeRefused as error:
            log.error("%s %s: %s", *view.choice, error)
            self._held_until = now + AFTER_REFUSAL
            self.box.refused(now)
        except ScreenTrouble as error:
            self._lose_screen(error, now)

    def _view(self, showing: Showing, now: float) -> View:
        view = view_of(showing, self.box.choice)
        picture = view.choice, view.pattern, view.variant
        return view._replace(shift=self._standing.cells(view.pattern, picture, now, moving=view.moving))

    def _sounds(self, now: float) -> None:
        side = self.box.showing().sound
        # Opened with the first tone asked for: the library behind it is large, and most boxes never sound.
        sound = self._sound.ensure(now) if side else self._sound.part
        if sound and side != self._side:
            sound.play(side)
            self._side = side

    def _lose_screen(self, error: ScreenTrouble, now: float) -> None:
        self._screen.lose(error, now, lambda presenter: presenter.screen.close())
        self.box.screen_lost(now)
        self._wear.lost(now)

    def _tell_stuck(self, now: float) -> None:
        stuck, before = self._reader.stuck(), self._stuck
        self._stuck = stuck
        for key in stuck:
            if key not in before:
                self.box.tell((f"Key stuck: {key}", "ignored until it comes up"), now)

    def _signals(self) -> Signals:
        slots: list[HasTrouble] = [
            self._screen,
            *self._keys,
            self._keeper,
            self._scribe,
            self._wear,
            self._health,
            self._opening,
        ]
        current = {part.current for part in slots if part.current}
        self.box.troubles = {Trouble.SETTINGS} & self.box.troubles | current
        if self._screen.part and self._screen.part.picture_failed:
            self.box.troubles.add(Trouble.PICTURE)
        if self._stuck:
            self.box.troubles.add(Trouble.KEYS)
        return self.box.showing().signals

    def _light(self, now: float) -> None:
        signals, lamps = self._signals(), self._lamps.ensure(now)
        up = self._screen.part is not None and self._screen.part.up is not None
        with_picture = self._screen.part.lit if self._screen.part else None
        running = signals.running.at(now) if with_picture is None else with_picture
        lit = (up and signals.ready.at(now), running, signals.attention.at(now))
        if self._watcher and lit != self._lit:
            self._watcher.lamps(lit, now)
        # Lamps that were away come back dark: they are told again what has not changed.
        if lamps and (lit != self._lit or lamps is not self._told):
            lamps.set(*lit)
        self._lit, self._told = lit, lamps

    def _look_after(self, now: float) -> None:
        while self.box.log:
            log.info("%s", self.box.log.pop(0))
        for record in self.box.drain():
            self._scribe.keep(record)
        self._scribe.look(now)
        if self._may_reckon():
            self._wear.look(now)
        if self._may_keep():
            self._keeper.keep(self.box.place(), now)
        if self.box.state is State.LEAVING and not self._asked_off:
            self._asked_off = True
            log.info("keys held: shutting down")
            if not self._supervisor.power_off():
                self._asked_off = False
                self.box.cue("no way off", now)
        if self._supervisor.interval is not None and now >= self._alive_at:
            self._alive_at = now + self._supervisor.interval
            self._supervisor.alive()
            # Looked at with the sign of life, so that it costs no waking of its own.
            self._health.look(now)
        elif self.box.host.guest:
            self._health.look_often(now)

    def _may_keep(self) -> bool:
        """Whether a card may be written to now: not while fields are counted or follow one another."""
        presenter = self._screen.part
        return presenter is not None and not self.box.loaded and not presenter.moving

    def _may_reckon(self) -> bool:
        """Whether light may be reckoned beside the loop: not while fields follow one another, or white is counted."""
        presenter, guest = self._screen.part, self.box.host.guest
        return not (presenter and presenter.moving) and (guest is None or guest.speaks)

    def _files(self) -> list[int]:
        parts = [self._screen.part.screen if self._screen.part else None, *(slot.part for slot in self._keys)]
        files = [self._room.fileno(), *(part.fileno() for part in parts if part)]
        return [file for file in files if file is not None]

    def _due(self, until: float | None) -> float | None:
        signals, now = self.box.showing().signals, self._waiter.clock()
        dues = [until, self.box.due(), self._reader.due(), self._screen.due(), self._lamps.due()]
        dues += [
            self._room.due(),
            self._standing.due(now),
            self._scribe.due(),
            self._health.due() if self.box.host.guest else None,
        ]
        if self._may_keep():  # what waits while a picture moves would be due for ever
            dues.append(self._keeper.due())
        dues += [slot.part.due() if slot.part else slot.due() for slot in self._keys]
        if self._blinks:
            dues += [blink.change(now) for blink in (signals.ready, signals.running, signals.attention)]
        if self._screen.part:
            dues.append(self._screen.part.due())
        if self._supervisor.interval is not None:
            dues.append(self._alive_at)
        if self._held_until > now:
            dues.append(self._held_until)
        return min((due for due in dues if due is not None), default=None)

    def _finish(self) -> None:
        """Black with sync, lamps off, everything let go."""
        if not self._cut:
            self._supervisor.stopping()
            self.box.host.suspend(self._waiter.clock())
            self._look_after(self._waiter.clock())
        try:
            if self._screen.part:
                if not self._cut:
                    self._screen.part.end_in_black(self._waiter)
                self._screen.part.screen.close()
        except ScreenTrouble as error:
            log.warning("the screen was gone at the end: %s", error)
        if self._lamps.part:
            self._lamps.part.set(False, False, False)  # without power they are dark, too
            self._lamps.part.close()
        if self._sound.part:
            self._sound.part.close()
        for slot in self._keys:
            if slot.part:
                slot.part.close()
        self._scribe.close()
        self._room.close()
