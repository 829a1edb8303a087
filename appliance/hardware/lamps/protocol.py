"""The protocol Lamps."""

from typing import Protocol


class Lamps(Protocol):
    """Three lamps, each on or off."""

    def set(self, ready: bool, running: bool, attention: bool) -> None:
        """Light the lamps so; what is already so is not written again."""

    def close(self) -> None:
        """All off, and let go of the lines."""
