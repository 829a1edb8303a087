"""The protocol Lamps."""

from typing import Protocol


class LampsTrouble(Exception):
    """The lamps cannot be opened; the message says which and why. Worth trying again later."""


class Lamps(Protocol):
    """Three lamps, each on or off."""

    def set(self, ready: bool, running: bool, attention: bool) -> None:
        """Light the lamps so; what is already so is not written again. Never raises: lamps are no reason to stop."""

    def close(self) -> None:
        """All off, and let go of the lines."""
