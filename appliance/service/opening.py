"""What is seen to once the first picture is up: what was left open, and the list of activities when it is asked for."""

import logging
from collections.abc import Callable
from typing import TYPE_CHECKING

from appliance.activities.box import Box, State
from appliance.activities.hosted import Activity
from appliance.activities.kept import VisitEntry
from appliance.activities.troubles import Trouble
from appliance.activities.viewing_record import Ended
from appliance.errors import Refused
from appliance.records.entries import SoakRecord, VisitRecord
from appliance.service.backroom import Backroom, Then
from appliance.service.scribe import Scribe

if TYPE_CHECKING:
    from appliance.service.menu import Menu

log = logging.getLogger(__name__)


class Opening:
    """``read`` reads the menu, which takes a while: in the backroom, and once; a script's viewing reads its own."""

    def __init__(self, box: Box, room: Backroom, scribe: Scribe, read: "Callable[[], Menu]") -> None:
        self.current: Trouble | None = None
        self._box, self._room, self._scribe, self._read = box, room, scribe, read
        self._begun = self._asked = False
        self._menu: Menu | None = None
        self._found: list[SoakRecord | VisitRecord] = []
        self._pending: list[tuple[Activity, int | None]] = []
        box.list_whole = False

    def begin(self) -> None:
        """The first picture is up; every further one changes nothing."""
        if not self._begun:
            self._begun = True
            self._scribe.look_for_unfinished(self._left_open)

    def viewing(self, name: str) -> Activity:
        """A viewing along the route ``name`` as the list has it; raises :class:`Refused` for an unknown one."""
        return (self._menu or self._read()).viewing(name)

    def look(self, now: float) -> None:
        """Have the list read if it is wanted; go on with what was left open, as soon as nothing else has the keys."""
        if self._box.list_wanted or self._found:
            self._ask()
        if self._pending and self._box.state is State.STEPPING and self._box.start(self._pending[0][0], now):
            _, soak = self._pending.pop(0)
            if soak is not None:  # not before: another may have begun, and ended, since it was found
                self._scribe.take_up(soak)

    def _ask(self) -> None:
        if not self._asked:
            self._asked = True
            self._room.do(self._look)

    def _look(self) -> Then:
        try:
            menu = self._read()
        except Exception:
            # A fault in there must not leave a person before a list that never comes.
            log.exception("the list of activities cannot be read (lamp code %d)", Trouble.SETTINGS)
            return self._failed
        return lambda now: self._heard(menu, now)

    def _failed(self, now: float) -> None:
        """What was left open stays so in the records; the next start offers it, once all can be read."""
        self.current = Trouble.SETTINGS
        self._found.clear()
        self._box.list_read(now)
        self._box.tell(("The list cannot be read:", "install fieldmouse anew"), now)

    def _heard(self, menu: "Menu", now: float) -> None:
        self._menu = menu
        # What is done at most sets comes first, behind stepping.
        self._box.activities[1:1] = menu.front()
        self._box.activities += menu.back()
        self._box.list_read(now)
        log.info("%d activities to choose from", len(self._box.activities))
        for mistake, what, instead in menu.mistakes():
            self._tell_mistake(mistake, what, instead, now)
        for record in self._found:
            self._go_on(menu, record, now)
        self._found.clear()

    def _tell_mistake(self, mistake: Refused, what: str, instead: str, now: float) -> None:
        self.current = Trouble.SETTINGS
        log.error("%s (lamp code %d); left out, or what ships is used", mistake, Trouble.SETTINGS)
        where = str(mistake).split(": ", 1)[0].rsplit("/", 1)[-1]
        self._box.tell((f"{what}{where}"[:28], instead), now)

    def _left_open(self, record: SoakRecord | VisitRecord, now: float) -> None:
        if self._menu is None:
            self._found.append(record)
        else:
            self._go_on(self._menu, record, now)

    def _go_on(self, menu: "Menu", record: SoakRecord | VisitRecord, now: float) -> None:
        if isinstance(record, SoakRecord):
            activity, soak = self._soak(menu, record, now), record.id
        else:
            activity, soak = self._visit(menu, record, now), None
        if activity is not None:
            self._pending.append((activity, soak))

    def _soak(self, menu: "Menu", record: SoakRecord, now: float) -> Activity | None:
        assert self._scribe.archive is not None
        activity = menu.soak(record, self._scribe.archive.boot)
        if activity is None:
            self._scribe.give_up(record.id, "cut, and could not be taken up", now)
            self._box.tell(("A soak was cut, and cannot", "be taken up any more"), now)
        return activity

    def _visit(self, menu: "Menu", record: VisitRecord, now: float) -> Activity | None:
        activity = menu.visit(record)
        if activity is None:
            self._scribe.keep(VisitEntry(now, record.id, Ended(0, now, "cut, and its route is another now")))
            self._box.tell((f"Visit {record.id} was cut; its", "route is another now"), now)
        return activity
