"""What is seen to once the first picture is up: the soaks there are, and a run that was left open."""

import logging
from collections.abc import Callable, Sequence

from appliance.activities.box import Box, State
from appliance.activities.hosted import Activity
from appliance.activities.hosted_soak import soak_activities
from appliance.activities.soak_plan import Soak
from appliance.activities.troubles import Trouble
from appliance.errors import Refused
from appliance.records.entries import SoakRecord
from appliance.service.backroom import Backroom, Then
from appliance.service.resumption import resumption
from appliance.service.scribe import Scribe
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
        words_time: float,
        load: Callable[[], Loaded] = load_soaks,
    ) -> None:
        self.current: Trouble | None = None
        self._box, self._room, self._scribe, self._load = box, room, scribe, load
        self._words_time = words_time
        self._begun = False
        self._pending: Activity | None = None

    def begin(self) -> None:
        """The first picture is up; every further one changes nothing."""
        if not self._begun:
            self._begun = True
            self._room.do(self._look)
            self._scribe.look_for_unfinished(self._found)

    def look(self, now: float) -> None:
        """Go on with the run that was left open, as soon as nothing else has the keys."""
        if self._pending and self._box.state is State.STEPPING and self._box.start(self._pending, now):
            self._pending = None

    def _look(self) -> Then:
        soaks, mistakes = self._load()
        return lambda now: self._heard(soaks, mistakes, now)

    def _heard(self, soaks: Sequence[Soak], mistakes: Sequence[Refused], now: float) -> None:
        self._box.activities += soak_activities(soaks, self._words_time)
        for mistake in mistakes:
            self.current = Trouble.SETTINGS
            log.error("%s (lamp code %d); this soak is left out", mistake, Trouble.SETTINGS)
            where = str(mistake).split(": ", 1)[0].rsplit("/", 1)[-1]
            self._box.tell((f"Soak wrong: {where}"[:28], "left out · fieldmouse soak"), now)

    def _found(self, record: SoakRecord, now: float) -> None:
        assert self._scribe.archive is not None
        self._scribe.take_up(record.id)
        self._pending = resumption(record, self._scribe.archive.boot, self._words_time)
        if self._pending is None:
            self._scribe.end("cut, and could not be taken up", now)
            self._box.tell(("A soak was cut, and cannot", "be taken up any more"), now)
