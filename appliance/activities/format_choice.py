"""Which format and system is on, which one is kept, and the way through the list of them."""

from collections.abc import Sequence

from appliance.activities.blink import count_blink
from appliance.settings.tree import Choice

BLIND_PAUSE = 0.5
"""Seconds after a whole count of the running lamp, while ``vary`` is held at power-up, before the next format."""


class FormatChoice:
    """``current`` is on the lead; ``kept`` is what comes back when it is not confirmed."""

    def __init__(self, choices: Sequence[Choice], current: Choice) -> None:
        self.choices = tuple(choices) if current in choices else (*choices, current)
        self.current = self.kept = current

    @property
    def number(self) -> int:
        """The current one's place in the list, from 1."""
        return self.choices.index(self.current) + 1

    @property
    def words(self) -> str:
        """Format and system."""
        return f"{self.current.format} {self.current.system}"

    def step(self, by: int) -> None:
        """Another of the list, round and round."""
        self.current = self.choices[(self.number - 1 + by) % len(self.choices)]

    def first(self) -> None:
        """The first of the list."""
        self.current = self.choices[0]

    def keep(self) -> None:
        """The current one stays."""
        self.kept = self.current

    def take_back(self) -> None:
        """The one kept before comes back."""
        self.current = self.kept

    def blind_time(self) -> float:
        """Seconds for the current one: its count, told once by the running lamp, and a pause."""
        return _time(self.number)

    def round_time(self) -> float:
        """Seconds to step through the whole list so."""
        return sum(_time(number) for number in range(1, len(self.choices) + 1))


def _time(number: int) -> float:
    return sum(count_blink(number, 0).times) + BLIND_PAUSE
