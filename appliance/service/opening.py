"""What is seen to once the first picture is up: the viewings and soaks there are, and what was left open."""

import logging
from collections.abc import Callable, Sequence

from appliance.activities.box import Box, State
from appliance.activities.hosted import Activity
from appliance.activities.hosted_soak import soak_activities
from appliance.activities.kept import VisitEntry
from appliance.activities.past import past_visits
from appliance.activities.soak_plan import Soak
from appliance.activities.troubles import Trouble
from appliance.activities.viewing_record import Ended
from appliance.errors import Refused
from appliance.records.entries import SoakRecord, VisitRecord
from appliance.routes import guide as find_guide
from appliance.service.backroom import Backroom, Then
from appliance.service.resumption import resumption
from appliance.service.scribe import Scribe
from appliance.service.viewings import Known, Viewings, load_known
from appliance.soaks import find_soak, soak_names

log = logging.getLogger(__name__)

Loaded = tuple[Sequence[Soak], Sequence[Refused]]


def load_soaks() -> Loaded:
    """Every soak that can be read, and what is wrong with the others; the longest list is that of the menu."""
    soaks, mistakes = list[Soak](), list[Refused]()
    for name in soak_names():
        try:
            soaks.append(find_soak(name))
        except Refused as mistake:
            mistakes.append(mistake)
    return soaks, mistakes


class Opening:
    """``words_time``: seconds that a soak's progress stands."""

    def __init__(
        self,
        box: Box,
        room: Backroom,
        scribe: Scribe,
        viewings: Viewings,
        words_time: float,
        load: Callable[[], Loaded] = load_soaks,
        know: Callable[[], Known] = load_known,
    ) -> None:
        self.current: Trouble | None = None
        self._box, self._room, self._scribe, self._load, self._know = box, room, scribe, load, know
        self._viewings, self._words_time = viewings, words_time
        self._begun = False
        self._known: Known | None = None
        self._pending: list[tuple[Activity, int | None]] = []

    def begin(self) -> None:
        """The first picture is up; every further one changes nothing."""
        if not self._begun:
            self._begun = True
            self._room.do(self._look)
            self._scribe.look_for_unfinished(self._found)

    def viewing(self, name: str) -> Activity:
        """A viewing along the route ``name`` as the list has it; raises :class:`Refused` for an unknown one."""
        known = self._known or self._know()
        return self._viewings.activity(known.guide(name) or find_guide(name, findings=known.findings), known)

    def look(self, now: float) -> None:
        """Go on with what was left open, as soon as nothing else has the keys."""
        if self._pending and self._box.state is State.STEPPING and self._box.start(self._pending[0][0], now):
            _, soak = self._pending.pop(0)
            if soak is not None:  # not before: another may have begun, and ended, since it was found
                self._scribe.take_up(soak)

    def _look(self) -> Then:
        known = self._know()
        soaks, mistakes = self._load()
        return lambda now: self._heard(known, soaks, mistakes, now)

    def _heard(self, known: Known, soaks: Sequence[Soak], mistakes: Sequence[Refused], now: float) -> None:
        self._known = known
        viewings = [self._viewings.activity(guide, known) for guide in known.guides]
        # What is done at most sets comes first, behind stepping.
        self._box.activities[1:1] = [*viewings, past_visits()] if viewings else []
        self._box.activities += soak_activities(soaks, self._words_time)
        log.info("%d activities to choose from", len(self._box.activities))
        for mistake in known.mistakes:
            self._tell_mistake(mistake, "Wrong: ", "left out, or as it ships", now)
        for mistake in mistakes:
            self._tell_mistake(mistake, "Soak wrong: ", "left out · fieldmouse soak", now)

    def _tell_mistake(self, mistake: Refused, what: str, instead: str, now: float) -> None:
        self.current = Trouble.SETTINGS
        log.error("%s (lamp code %d); left out, or what ships is used", mistake, Trouble.SETTINGS)
        where = str(mistake).split(": ", 1)[0].rsplit("/", 1)[-1]
        self._box.tell((f"{what}{where}"[:28], instead), now)

    def _found(self, record: SoakRecord | VisitRecord, now: float) -> None:
        if isinstance(record, SoakRecord):
            activity, soak = self._soak(record, now), record.id
        else:
            activity, soak = self._visit(record, now), None
        if activity is not None:
            self._pending.append((activity, soak))

    def _soak(self, record: SoakRecord, now: float) -> Activity | None:
        assert self._scribe.archive is not None
        activity = resumption(record, self._scribe.archive.boot, self._words_time)
        if activity is None:
            self._scribe.give_up(record.id, "cut, and could not be taken up", now)
            self._box.tell(("A soak was cut, and cannot", "be taken up any more"), now)
        return activity

    def _visit(self, record: VisitRecord, now: float) -> Activity | None:
        activity = self._viewings.resumed(record, self._known) if self._known else None
        if activity is None:
            self._scribe.keep(VisitEntry(now, record.id, Ended(0, now, "cut, and its route is another now")))
            self._box.tell((f"Visit {record.id} was cut; its", "route is another now"), now)
        return activity
