"""What the box has to say of itself, one thing after the other: over the picture for a while, never in one place."""

from appliance.activities.showing import Caption

TIME = 8.0
"""Seconds that a notice stands: it comes unasked, so it is looked up to, and then read."""

Lines = tuple[str, str]


class Notices:
    """Two lines at a time. ``may`` is whether words can be laid over what is shown now; until then they wait."""

    def __init__(self) -> None:
        self._waiting: list[Lines] = []
        self._up: Lines | None = None
        self._until, self._high = 0.0, False

    def tell(self, lines: Lines) -> None:
        """Say ``lines`` once; what is being said or waits to be is not said twice."""
        if lines != self._up and lines not in self._waiting:
            self._waiting.append(lines)

    def tick(self, now: float, *, may: bool) -> None:
        """Take down what has stood, and put up the next."""
        if self._up and now >= self._until:
            self._up = None
        if self._up is None and self._waiting and may:
            self._up, self._until, self._high = self._waiting.pop(0), now + TIME, not self._high

    def due(self) -> float | None:
        """When :meth:`tick` has something to take down."""
        return self._until if self._up else None

    @property
    def caption(self) -> Caption | None:
        """What stands now."""
        return Caption(self._up, self._high) if self._up else None
