"""How long a still picture has stood, and by how many cells it is to be shifted for the tube's sake."""

from collections.abc import Hashable

from appliance.activities.dose import SHIFT_TIME, shift

READ_BY_PLACE = frozenset({"scales", "frame"})
"""Patterns whose place on the screen is what is read: one that shifted would tell another margin."""
EVEN = frozenset({"black", "white", "grey", "red", "green", "blue", "cyan", "magenta", "yellow"})
"""Patterns alike all over: a shift would change nothing."""


_ROUNDING = 1e-6  # s


class Standing:
    """Asked each time what is wanted on the screen; words over a picture do not make it another one."""

    def __init__(self) -> None:
        self._picture: Hashable = None
        self._since: float | None = None

    def cells(self, pattern: str, picture: Hashable, now: float, *, moving: bool) -> tuple[int, int]:
        """Cells across and down for ``picture``, which is one of ``pattern`` and whatever else makes it itself."""
        if moving or pattern in READ_BY_PLACE | EVEN:
            self._picture, self._since = None, None
            return 0, 0
        if self._since is None or picture != self._picture:
            self._picture, self._since = picture, now
        return shift(self._stood(self._since, now))

    def due(self, now: float) -> float | None:
        """When the next shift is."""
        if self._since is None:
            return None
        return self._since + (self._stood(self._since, now) // SHIFT_TIME + 1) * SHIFT_TIME

    @staticmethod
    def _stood(since: float, now: float) -> float:
        # At the moment that was due itself the difference may be a rounding short of it, and it would be due for ever.
        return max(now - since + _ROUNDING, 0.0)
