"""A part of the box that may be missing: opened, lost, and tried again; never a crash, never a flood of log lines."""

import logging
from collections.abc import Callable
from typing import Generic, TypeVar

from appliance.activities.troubles import WORDS, Trouble
from appliance.hardware.screens.base import NoConnector

log = logging.getLogger(__name__)

RETRY = 2.0
"""Seconds between tries to open a missing part."""

QUIET = 60.0
"""Seconds before the same words about the same part are said again."""

T = TypeVar("T")


class Slot(Generic[T]):
    """Holds a part while it works. ``trouble`` says what its absence means on the lamp, None where no lamp can."""

    def __init__(self, name: str, opener: Callable[[], T], trouble: Trouble | None) -> None:
        self.name = name
        self.part: T | None = None
        self.current: Trouble | None = None
        self._opener, self._usual = opener, trouble
        self._again: float | None = 0.0
        self._said, self._say_again = "", 0.0

    def ensure(self, now: float) -> T | None:
        """The part, opened anew when it is missing and its time for another try has come."""
        if self.part is None and self._again is not None and now >= self._again:
            try:
                self.part = self._opener()
            except Exception as error:
                self._failed(error, now)
            else:
                self._opened()
        return self.part

    def lose(self, error: Exception, now: float, close: Callable[[T], None]) -> None:
        """The part raised ``error``: let it go and try again in a while."""
        if self.part is not None:
            try:
                close(self.part)
            except Exception:
                log.exception("%s: could not be closed cleanly", self.name)
        self.part = None
        self._failed(error, now)

    def due(self) -> float | None:
        """When :meth:`ensure` is next worth calling."""
        return self._again if self.part is None else None

    def _opened(self) -> None:
        if self.current:
            log.info("%s: back", self.name)
        self.current = None

    def _failed(self, error: Exception, now: float) -> None:
        self._again = now + RETRY
        self.current = Trouble.NO_CONNECTOR if isinstance(error, NoConnector) else self._usual
        # A part that comes and goes would fill the log with one and the same line.
        if str(error) != self._said or now >= self._say_again:
            self._said, self._say_again = str(error), now + QUIET
            code = f" (lamp code {self.current.value}: {WORDS[self.current]})" if self.current else ""
            log.error("%s: %s%s; trying again every %g s", self.name, error, code, RETRY)
