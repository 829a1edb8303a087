"""Keeps what is to be remembered over a power cut: a while after it changed, and only when nothing runs or moves."""

import logging
from collections.abc import Callable

from appliance.activities.box import Place
from appliance.activities.troubles import Trouble

log = logging.getLogger(__name__)

SETTLE = 1.0
"""Seconds that a place must stand before it is written: a card wears by writing, and stepping is quick."""


class Keeper:
    """Hands a settled place to ``write``; after an ``OSError`` waits for the next change."""

    def __init__(self, write: Callable[[Place], None], kept: Place | None) -> None:
        self.current: Trouble | None = None
        self._write, self._kept = write, kept
        self._waiting: tuple[Place, float] | None = None

    def keep(self, place: Place, now: float) -> None:
        """Take note of where the box is; written once it has stood for a while."""
        if place == self._kept:
            self._waiting = None
        elif self._waiting is None or self._waiting[0] != place:
            self._waiting = place, now + SETTLE
        elif now >= self._waiting[1]:
            self._kept, self._waiting = place, None
            self._try(place)

    def due(self) -> float | None:
        """When :meth:`keep` next has something to write."""
        return self._waiting[1] if self._waiting else None

    def _try(self, place: Place) -> None:
        try:
            self._write(place)
        except OSError as error:
            self.current = Trouble.KEEPING
            log.error("where the box stands is not kept: %s (lamp code %d)", error, Trouble.KEEPING)
        else:
            self.current = None
