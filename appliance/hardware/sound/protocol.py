"""The protocol Sound."""

from typing import Protocol


class Sound(Protocol):
    """A steady tone on one side, the other, both or none."""

    def play(self, side: str) -> None:
        """Sound on ``left``, ``right`` or ``both`` from now on; silence for an empty word."""

    def close(self) -> None:
        """Silence, and let go of the output."""
