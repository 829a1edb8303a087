"""Looks at the board's health now and then, in the backroom, and says once what is wrong with it."""

import logging
import math
from collections.abc import Callable
from dataclasses import dataclass

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


@dataclass(frozen=True)
class Watched(Health):
    """Health as it was last seen. ``low_until``: the monotonic time until which the board was short of voltage.

    It is infinite while the board is, and minus infinity when it never was since the start.
    """

    low_until: float = -math.inf


def low_since(health: Health, begun: float) -> bool:
    """Whether the board was short of voltage at any look from ``begun`` on; unwatched health tells of now alone."""
    return health.low_until >= begun if isinstance(health, Watched) else bool(health.undervoltage)


class HealthWatch:
    """``read`` tells how the board is; ``hot`` is called at each look that finds it too hot."""

    def __init__(
        self,
        read: Callable[[], Health],
        room: Backroom,
        tell: Callable[[Lines, float], None],
        hot: Callable[[float], None],
    ) -> None:
        self.current: Trouble | None = None
        self.health = Watched(None, None)
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

    @property
    def low_until(self) -> float:
        """Until when the board was short of voltage, as in :class:`Watched`."""
        return self.health.low_until

    def _look(self) -> Then:
        health = self._read()
        return lambda now: self._heard(health, now)

    def _heard(self, health: Health, now: float) -> None:
        low_until = math.inf if health.undervoltage else min(self.low_until, now)
        self.health = Watched(health.undervoltage, health.celsius, health.slowed, low_until)
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
