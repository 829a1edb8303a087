"""Looks at the board's health now and then, in the backroom, and says once what is wrong with it."""

import logging
from collections.abc import Callable

from appliance.activities.notices import Lines
from appliance.activities.troubles import Trouble
from appliance.hardware.health import Health
from appliance.service.backroom import Backroom, Then

log = logging.getLogger(__name__)

OFTEN = 30.0
"""Seconds between two looks while something runs."""

AGAIN = 600.0
"""Seconds until the same is told again: what flickers is one trouble, on the screen and in the log."""

UNKNOWN = Health(None, None)
_WORDS: tuple[tuple[Callable[[Health], bool | None], Lines], ...] = (
    (lambda health: health.undervoltage, ("Supply voltage too low:", "a better supply, thick lead")),
    (lambda health: health.hot, ("The box is too hot:", "give it air")),
    (lambda health: health.slowed, ("The box slows itself down:", "heat, or a weak supply")),
)


class HealthWatch:
    """``read`` tells how the board is; ``hot`` is called at each look that finds it too hot.

    ``was_low``: undervoltage was seen since the start.
    """

    def __init__(
        self,
        read: Callable[[], Health],
        room: Backroom,
        tell: Callable[[Lines, float], None],
        hot: Callable[[float], None],
    ) -> None:
        self.current: Trouble | None = None
        self.health, self.was_low = UNKNOWN, False
        self._read, self._room, self._tell, self._hot = read, room, tell, hot
        self._told: dict[Lines, float] = {}
        self._next = 0.0

    def look(self, now: float) -> None:
        """Have it looked at."""
        self._next = now + OFTEN
        self._room.do(self._look)

    def look_often(self, now: float) -> None:
        """Have it looked at unless that was done lately."""
        if now >= self._next:
            self.look(now)

    def due(self) -> float:
        """When :meth:`look_often` next does something."""
        return self._next

    def _look(self) -> Then:
        health = self._read()
        return lambda now: self._heard(health, now)

    def _heard(self, health: Health, now: float) -> None:
        self.health, self.was_low = health, self.was_low or bool(health.undervoltage)
        self.current = Trouble.HEALTH if health.ill else None
        wrong = [lines for is_so, lines in _WORDS if is_so(health)]
        for lines in wrong:
            since, self._told[lines] = self._told.get(lines), now
            if since is not None and now < since + AGAIN:
                continue
            log.warning("%s (lamp code %d)", " ".join(lines), Trouble.HEALTH)
            self._tell(lines, now)
        if health.hot:
            self._hot(now)
