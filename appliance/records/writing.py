"""What every record shares on its way into the file and out of it."""

import sqlite3
from collections.abc import Callable

from appliance.records.entries import Moment

Clock = Callable[[], tuple[float, bool]]
"""Wall seconds since 1970, and whether that clock had been set."""


class Stamp:
    """Gives each record its moment: the boot, monotonic seconds, wall seconds, whether those were set."""

    def __init__(self, boot_id: str, wall: Clock) -> None:
        self._boot, self._wall = clean(boot_id), wall

    def __call__(self, connection: sqlite3.Connection, at: float) -> tuple[int, float, float, bool]:
        """The four columns of a moment, inside the transaction that ``connection`` is in."""
        wall, synced = self._wall()
        return self._row(connection), at, wall, synced

    def _row(self, connection: sqlite3.Connection) -> int:
        """Looked up each time: a number remembered from a transaction that failed would stand for no boot."""
        found = connection.execute("SELECT id FROM boots WHERE name = ?", (self._boot,)).fetchone()
        if found is None:
            found = connection.execute("INSERT INTO boots (name) VALUES (?) RETURNING id", (self._boot,)).fetchone()
        return int(found[0])


def moment(boot: str, at: float, wall: float, synced: int) -> Moment:
    """The moment of four columns."""
    return Moment(boot, at, wall, bool(synced))


def ended(boot: str | None, at: float, wall: float, synced: int) -> Moment | None:
    """The moment of an end, which may not have come."""
    return None if boot is None else moment(boot, at, wall, synced)


def clean(words: str, most: int | None = None) -> str:
    """Words that any file can hold: lone surrogates become question marks, and no more than ``most`` letters."""
    words = words.encode("utf-8", "replace").decode("utf-8")
    return words if most is None or len(words) <= most else f"{words[: most - 1]}…"
