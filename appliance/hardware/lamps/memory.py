"""Lamps without hardware, for tests and rehearsals."""

from typing import NamedTuple


class Lit(NamedTuple):
    """Which lamps are lit."""

    ready: bool = False
    running: bool = False
    attention: bool = False


class MemoryLamps:
    """Keeps every change: ``changes`` begins with all dark, and each entry differs from the one before."""

    def __init__(self) -> None:
        self.changes = [Lit()]
        self.closed = False

    @property
    def lit(self) -> Lit:
        """Which lamps are lit now."""
        return self.changes[-1]

    def set(self, ready: bool, running: bool, attention: bool) -> None:
        """Light the lamps so."""
        if (lit := Lit(ready, running, attention)) != self.lit:
            self.changes.append(lit)

    def close(self) -> None:
        """All dark."""
        self.set(False, False, False)
        self.closed = True
