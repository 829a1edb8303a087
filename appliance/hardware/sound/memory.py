"""A sound output that only remembers, for tests and rehearsals."""


class MemorySound:
    """``played``: each side asked for, in order."""

    def __init__(self) -> None:
        self.played: list[str] = []

    def play(self, side: str) -> None:
        """Remember the side."""
        self.played.append(side)

    def close(self) -> None:
        """Silence."""
        self.played.append("")
