"""The dose of light since the box came up: each picture shown, for as long as it was, in every activity.

Words over pictures are left out, and a moving picture counts by the mean of its whole period. What was shown is
gathered and reckoned about once a minute, in the backroom; nobody is woken for it.
"""

from collections.abc import Callable
from functools import cache

from appliance.activities.dose import Dose, Lead
from appliance.activities.notices import Lines
from appliance.activities.troubles import Trouble
from appliance.patterns.catalogue import find_pattern
from appliance.patterns.zone_light import zone_light
from appliance.service.backroom import Backroom, Then
from appliance.service.views import View
from appliance.video.formats import find_format

FOLD = 60.0
"""Seconds of light that are gathered before they are reckoned."""

Key = tuple[str, str, str, bool]
"""Format, pattern, variant, moving."""


class Wear:
    """``tell`` says two lines to whoever looks at the screen."""

    def __init__(self, room: Backroom, tell: Callable[[Lines, float], None]) -> None:
        self.dose = Dose()
        self.current: Trouble | None = None
        self._room, self._tell = room, tell
        self._key: Key | None = None
        self._since = 0.0
        self._gathered: dict[Key, float] = {}

    def shown(self, view: View, stamp: float) -> None:
        """``view`` went up at ``stamp``."""
        key = (view.choice.format, view.pattern, view.variant, view.moving)
        if key != self._key:
            self._gather(stamp)
            self._key = key

    def lost(self, now: float) -> None:
        """Nothing is up any more."""
        self._gather(now)
        self._key = None

    def look(self, now: float) -> None:
        """Have what was gathered reckoned, if it is enough."""
        up = now - self._since if self._key else 0.0
        if sum(self._gathered.values()) + up >= FOLD:
            self._gather(now)
            gathered, self._gathered = self._gathered, {}
            self._room.do(lambda: self._reckon(gathered))

    def _gather(self, now: float) -> None:
        if self._key is not None and now > self._since:
            self._gathered[self._key] = self._gathered.get(self._key, 0.0) + now - self._since
        self._since = max(now, self._since)

    def _reckon(self, gathered: dict[Key, float]) -> Then | None:
        for key, seconds in gathered.items():
            self.dose = self.dose.after(_zones(*key), seconds)
        leads = self.dose.leads()
        if bool(leads) == (self.current is not None):
            return None
        return lambda now: self._change(leads, now)

    def _change(self, leads: tuple[Lead, ...], now: float) -> None:
        self.current = Trouble.WEAR if leads else None
        if leads:
            self._tell((f"Zone {leads[0].zone} lit more than {leads[0].beside}:", "show something else"), now)


@cache
def _zones(format_name: str, pattern: str, variant: str, moving: bool) -> tuple[float, ...]:
    """The mean light of each zone; of a picture that cannot be drawn, words over black were shown: none."""
    fmt = find_format(format_name)
    try:
        entry, name = find_pattern(f"{pattern}:{variant}")
        return zone_light(fmt, entry.draw(fmt, name), moving=moving).zones
    except Exception:  # told when the picture was to be shown
        return (0.0,) * 9
