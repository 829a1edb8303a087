"""Soaks as they were, event by event. Each call that writes returns once its record is on the disk.

A heartbeat is a bounded log: one row for each minute of the soak, the last of that minute, so a paused soak or a quick
heart adds nothing. Events are bounded, too: beyond :data:`MOST_EVENTS` they are counted and not kept.
"""

import sqlite3
from collections.abc import Callable
from pathlib import Path, PurePosixPath
from typing import Any

from appliance.activities.soak_event import SoakEvent
from appliance.records.database import Connect, Database
from appliance.records.entries import Beat, EventRecord, SoakRecord
from appliance.records.surroundings import mounts, nothing_kept
from appliance.records.visits import Visits
from appliance.records.writing import Clock, Stamp, clean, ended, moment

MOST_EVENTS = 5000
"""Of one soak. Eight hours of phases and looks come to some hundreds; a chattering key must not fill the card."""

MOST_LETTERS = 2000
"""Of one event's words; longer ones are cut and end in an ellipsis."""


class Store:
    """The records in ``folder``, each with the boot ``boot_id`` and the clock as ``wall`` tells it.

    Every method raises :class:`StoreTrouble` when the disk is full, read-only or broken, and nothing else; the store
    stays usable, and the next call tries again. One thread opens and uses it.
    """

    def __init__(
        self,
        folder: Path,
        *,
        boot_id: str,
        wall: Clock,
        mountinfo: Callable[[], str] = mounts,
        connect: Connect = sqlite3.connect,
    ) -> None:
        self.folder = folder
        self._mountinfo = mountinfo
        self._database = Database(folder, connect)
        self._stamp = Stamp(boot_id, wall)
        self.visits = Visits(self._database, self._stamp)

    def open(self) -> tuple[str, ...]:
        """Open for writing. What the screen has to say: that nothing will be kept, that a broken file was put aside."""
        said = self._database.open()
        fleeting = nothing_kept(self._mountinfo(), PurePosixPath(self.folder.resolve()))
        return tuple(words for words in (fleeting, said) if words)

    def open_to_read(self) -> None:
        """Open for reading only, as a command does beside the running box."""
        self._database.open_to_read()

    def close(self) -> None:
        """Let go of the file. Never raises."""
        self._database.close()

    def begin_soak(self, name: str, title: str, plan: str, at: float) -> int:
        """A soak begins; its number. ``plan`` is kept as it is (JSON)."""
        with self._database.transaction() as connection:
            made = connection.execute(
                "INSERT INTO soaks (boot, at, wall, synced, name, title, plan) VALUES (?, ?, ?, ?, ?, ?, ?)",
                (*self._stamp(connection, at), clean(name), clean(title), clean(plan)),
            )
            return int(made.lastrowid or 0)

    def add_event(self, soak_id: int, event: SoakEvent) -> None:
        """Keep what happened; beyond :data:`MOST_EVENTS` only count it. A heartbeat is kept as one, not as an event.

        With the event that tells the soak's end it is over: a power cut right after it must not offer it again.
        """
        if event.kind == "heartbeat":
            self.heartbeat(soak_id, event.at, event.elapsed, event.phase)
            return
        with self._database.transaction() as connection:
            if event.kind == "ended":
                self._end(connection, soak_id, event.at, event.words)
            (last,) = connection.execute("SELECT max(number) FROM events WHERE soak = ?", (soak_id,)).fetchone()
            if (last or 0) >= MOST_EVENTS:
                connection.execute("UPDATE soaks SET left_out = left_out + 1 WHERE id = ?", (soak_id,))
                return
            stamp = self._stamp(connection, event.at)
            what = (clean(event.kind), event.elapsed, event.phase, clean(event.words, MOST_LETTERS))
            connection.execute(
                "INSERT INTO events (soak, number, boot, at, wall, synced, kind, elapsed, phase, words)"
                " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (soak_id, (last or 0) + 1, *stamp, *what),
            )

    def heartbeat(
        self,
        soak_id: int,
        at: float,
        elapsed: float,
        phase: int,
        celsius: float | None = None,
        undervoltage: bool | None = None,
    ) -> None:
        """The soak lives, ``elapsed`` seconds into it. Replaces an earlier beat of the same minute and boot."""
        with self._database.transaction() as connection:
            connection.execute(
                "INSERT OR REPLACE INTO heartbeats"
                " (soak, minute, boot, at, wall, synced, elapsed, phase, celsius, undervoltage)"
                " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (soak_id, int(elapsed // 60), *self._stamp(connection, at), elapsed, phase, celsius, undervoltage),
            )

    def end_soak(self, soak_id: int, at: float, how: str) -> None:
        """The soak is over, and how that came."""
        with self._database.transaction() as connection:
            self._end(connection, soak_id, at, how)

    def soaks(self) -> list[SoakRecord]:
        """All soaks, the latest first, without their events and beats."""
        return [self._soak(row) for row in self._database.rows(f"{_SOAKS} ORDER BY s.id DESC")]

    def soak(self, soak_id: int) -> SoakRecord | None:
        """One soak with its events and beats; ``None`` when there is none of that number."""
        for row in self._database.rows(f"{_SOAKS} WHERE s.id = ?", soak_id):
            return self._soak(row, self._events(soak_id), self._beats(soak_id))
        return None

    def unfinished(self) -> SoakRecord | None:
        """The latest soak, whole, if it has not ended: the one that a power cut left. Older ones are not offered."""
        latest = self._database.rows("SELECT id FROM soaks ORDER BY id DESC LIMIT 1")
        record = self.soak(latest[0][0]) if latest else None
        return record if record and record.ended is None else None

    def _end(self, connection: sqlite3.Connection, soak_id: int, at: float, how: str) -> None:
        connection.execute(
            "UPDATE soaks SET end_boot = ?, end_at = ?, end_wall = ?, end_synced = ?, how = ? WHERE id = ?",
            (*self._stamp(connection, at), clean(how), soak_id),
        )

    def _soak(
        self, row: tuple[Any, ...], events: tuple[EventRecord, ...] = (), beats: tuple[Beat, ...] = ()
    ) -> SoakRecord:
        number, name, title, plan, how, left_out, *moments = row
        alive = (beats or self._beats(number, 1) or (None,))[-1]
        begun, over = moment(*moments[:4]), ended(*moments[4:])
        return SoakRecord(number, name, title, plan, begun, over, how, alive, events, beats, left_out)

    def _events(self, soak_id: int) -> tuple[EventRecord, ...]:
        rows = self._database.rows(_EVENTS, soak_id)
        return tuple(_event(*row) for row in rows)

    def _beats(self, soak_id: int, most: int = -1) -> tuple[Beat, ...]:
        """The last ``most`` beats, or all of them, in the order they were."""
        rows = self._database.rows(_BEATS, soak_id, most)
        return tuple(_beat(*row) for row in reversed(rows))


def _event(boot: str, at: float, wall: float, synced: int, number: int, kind: str, *rest: Any) -> EventRecord:
    elapsed, phase, words = rest
    return EventRecord(number, kind, moment(boot, at, wall, synced), elapsed, phase, words)


def _beat(
    boot: str,
    at: float,
    wall: float,
    synced: int,
    elapsed: float,
    phase: int,
    celsius: float | None,
    undervoltage: int | None,
) -> Beat:
    low = None if undervoltage is None else bool(undervoltage)
    return Beat(moment(boot, at, wall, synced), elapsed, phase, celsius, low)


_SOAKS = """SELECT s.id, s.name, s.title, s.plan, s.how, s.left_out,
    b.name, s.at, s.wall, s.synced, e.name, s.end_at, s.end_wall, s.end_synced
    FROM soaks s JOIN boots b ON b.id = s.boot LEFT JOIN boots e ON e.id = s.end_boot"""
_EVENTS = """SELECT b.name, at, wall, synced, number, kind, elapsed, phase, words
    FROM events JOIN boots b ON b.id = boot WHERE soak = ? ORDER BY number"""
_BEATS = """SELECT b.name, at, wall, synced, elapsed, phase, celsius, undervoltage
    FROM heartbeats JOIN boots b ON b.id = boot WHERE soak = ? ORDER BY boot DESC, at DESC LIMIT ?"""
