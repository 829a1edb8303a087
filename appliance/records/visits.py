"""Visits: the steps, findings and readings of one set at one time.

Each call that writes returns once its record is on the disk.
"""

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from appliance.records.database import Database
from appliance.records.entries import MOST_FINDINGS, Finding, Reading, RouteStep, StepRecord, StepState, VisitRecord
from appliance.records.trouble import StoreTrouble, VisitDeleted, VisitFull, Why
from appliance.records.writing import Stamp, clean, ended, moment

MOST_STEPS = 100
"""Of one route."""

LONGEST = 60
"""Letters of a set's name, a title, a unit; longer ones are cut and end in an ellipsis."""


class Visits:
    """The visits in a file; every method raises :class:`StoreTrouble` as the store's own do.

    One that adds to a visit raises :class:`VisitDeleted` when that was deleted.
    """

    def __init__(self, database: Database, stamp: Stamp) -> None:
        self._database, self._stamp = database, stamp

    # What goes in

    def begin(
        self,
        label: str,
        route: str,
        at: float,
        *,
        title: str = "",
        path: str = "",
        warmth: str = "",
        steps: Sequence[RouteStep] = (),
        once: bool = False,
    ) -> int:
        """A visit begins along ``steps``, all of them still ahead; its number, which no other visit ever gets.

        The words are those of :class:`VisitRecord`. Steps beyond :data:`MOST_STEPS` are left out. ``once``: one that
        began in this boot at this very time is this one, whose beginning was reported lost.
        """
        with self._database.transaction() as connection:
            stamp = self._stamp(connection, at)
            there = connection.execute("SELECT id FROM visits WHERE boot = ? AND at = ?", stamp[:2]).fetchone()
            if once and there:
                return int(there[0])
            made = connection.execute(
                "INSERT INTO visits (boot, at, wall, synced, label, route, title, path, warmth)"
                " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (*stamp, *(clean(words, LONGEST) for words in (label, route, title, path, warmth))),
            )
            number = int(made.lastrowid or 0)
            for place, step in enumerate(steps[:MOST_STEPS], 1):
                words = (clean(word, LONGEST) for word in (step.key, step.title, step.pattern, step.variant))
                connection.execute(_NEW_STEP, (number, place, *stamp, *words, StepState.AHEAD))
            return number

    def describe(
        self, visit_id: int, *, label: str | None = None, path: str | None = None, warmth: str | None = None
    ) -> None:
        """What became known of the set after the visit began; ``None`` leaves a word as it is."""
        with self._writing(visit_id) as connection:
            for column, words in (("label", label), ("path", path), ("warmth", warmth)):
                if words is not None:
                    change = f"UPDATE visits SET {column} = ?"  # noqa: S608 # our own names
                    self._change(connection, change, clean(words, LONGEST), visit_id)

    def mark_step(self, visit_id: int, number: int, state: StepState, at: float) -> None:
        """What became of the step at place ``number``, counted from 1; the last word counts."""
        with self._writing(visit_id) as connection:
            changed = connection.execute(
                "UPDATE steps SET boot = ?, at = ?, wall = ?, synced = ?, state = ? WHERE visit = ? AND number = ?",
                (*self._stamp(connection, at), state, visit_id, number),
            )
            if changed.rowcount != 1:
                raise StoreTrouble(f"visit {visit_id} has no step {number}: nothing is kept of it")

    def mark_low(self, visit_id: int) -> None:
        """The box was short of voltage in this visit."""
        with self._database.transaction() as connection:
            connection.execute("UPDATE visits SET low = 1 WHERE id = ?", (visit_id,))

    def add_finding(
        self,
        visit_id: int,
        at: float,
        step: str,
        kind: str,
        severity: int,
        zone: int | None = None,
        title: str = "",
        number: int | None = None,
    ) -> int:
        """A fault noted at a step; its number in the file. Raises :class:`VisitFull` beyond :data:`MOST_FINDINGS`.

        ``number``: its own within the visit. One that is there already was kept before, and nothing is added.
        """
        with self._writing(visit_id) as connection:
            if number is not None and (there := connection.execute(_NOTE, (visit_id, number)).fetchone()):
                return int(there[0])
            self._check_room(connection, visit_id)
            words = clean(step, LONGEST), clean(kind, LONGEST), severity, zone, clean(title, LONGEST)
            made = connection.execute(
                "INSERT INTO findings (boot, at, wall, synced, visit, step, kind, severity, zone, title, number)"
                " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?,"
                " coalesce(?, (SELECT max(id) + 1 FROM findings), 1))",
                (*self._stamp(connection, at), visit_id, *words, number),
            )
            return int(made.lastrowid or 0)

    def take_back(self, visit_id: int, number: int) -> bool:
        """The note of that number in the visit does not count any more; False when there is none."""
        with self._writing(visit_id) as connection:
            done = connection.execute(
                "UPDATE findings SET undone = 1 WHERE visit = ? AND number = ?", (visit_id, number)
            )
            return done.rowcount > 0

    def undo(self, finding_id: int) -> None:
        """The finding was taken back; it stays in the file, marked."""
        with self._database.transaction() as connection:
            connection.execute("UPDATE findings SET undone = 1 WHERE id = ?", (finding_id,))

    def add_reading(
        self, visit_id: int, at: float, gauge: str, value: float, unit: str, uncertainty: float | None = None
    ) -> int:
        """What a gauge read; its number."""
        with self._writing(visit_id) as connection:
            made = connection.execute(
                "INSERT INTO readings (boot, at, wall, synced, visit, gauge, value, unit, uncertainty)"
                " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (*self._stamp(connection, at), visit_id, clean(gauge), value, clean(unit), uncertainty),
            )
            return int(made.lastrowid or 0)

    def end(self, visit_id: int, at: float, how: str) -> None:
        """The visit is over."""
        with self._writing(visit_id) as connection:
            connection.execute(_END, (*self._stamp(connection, at), clean(how, LONGEST), visit_id))

    def delete(self, visit_id: int, at: float) -> None:
        """Take everything that was noted of a visit out of the file; its number stays taken. Done twice, it is well."""
        with self._database.transaction() as connection:
            connection.execute("UPDATE visits SET label = '', deleted = 1 WHERE id = ?", (visit_id,))
            connection.execute(_END, (*self._stamp(connection, at), "deleted", visit_id))
            for table in ("findings", "readings", "steps"):
                connection.execute(f"DELETE FROM {table} WHERE visit = ?", (visit_id,))  # noqa: S608 # our own names

    # What comes out

    def one(self, visit_id: int) -> VisitRecord | None:
        """A visit with all that belongs to it; ``None`` when there is none of that number."""
        for row in self._database.rows(f"{_VISITS} AND v.id = ?", visit_id):
            return self._visit(*row)
        return None

    def last(self, most: int = -1) -> list[VisitRecord]:
        """The latest ``most`` visits, or all of them, latest first, with their findings alone."""
        rows = self._database.rows(f"{_VISITS} ORDER BY v.id DESC LIMIT ?", most)
        findings: dict[int, list[Finding]] = {row[0]: [] for row in rows}
        for row in self._database.rows(_FINDINGS.format("visit >= ?"), min(findings, default=0)):
            if row[0] in findings:
                findings[row[0]].append(_finding(*row[1:]))
        return [_record(row, tuple(findings[row[0]]), (), ()) for row in rows]

    def unfinished(self) -> VisitRecord | None:
        """The latest visit that has not ended: a power cut left it, or it was left for another time."""
        for row in self._database.rows(f"{_VISITS} AND v.end_boot IS NULL ORDER BY v.id DESC LIMIT 1"):
            return self._visit(*row)
        return None

    def _visit(self, number: int, *rest: Any) -> VisitRecord:
        findings = self._database.rows(_FINDINGS.format("visit = ?"), number)
        readings = self._database.rows(_READINGS, number)
        steps = self._database.rows(_STEPS, number)
        return _record(
            (number, *rest),
            tuple(_finding(*row[1:]) for row in findings),
            tuple(_reading(*row) for row in readings),
            tuple(_step(*row) for row in steps),
        )

    @contextmanager
    def _writing(self, visit_id: int) -> Iterator[sqlite3.Connection]:
        """A transaction on a visit, that is refused once it was deleted: what was taken out must not come back."""
        with self._database.transaction() as connection:
            if connection.execute("SELECT 1 FROM visits WHERE id = ? AND deleted = 1", (visit_id,)).fetchone():
                raise VisitDeleted(f"visit {visit_id} was deleted: nothing more is kept of it: begin another")
            yield connection

    @staticmethod
    def _change(connection: sqlite3.Connection, update: str, words: str, visit_id: int) -> None:
        changed = connection.execute(f"{update} WHERE id = ? AND deleted = 0", (words, visit_id))
        if changed.rowcount != 1:
            raise StoreTrouble(f"visit {visit_id}: there is none of that number")

    @staticmethod
    def _check_room(connection: sqlite3.Connection, visit_id: int) -> None:
        (there,) = connection.execute("SELECT count(*) FROM findings WHERE visit = ?", (visit_id,)).fetchone()
        if there >= MOST_FINDINGS:
            raise VisitFull(f"visit {visit_id} holds {there} findings, and no more: begin another visit", Why.FULL)


def _record(
    row: Any, findings: tuple[Finding, ...], readings: tuple[Reading, ...], steps: tuple[StepRecord, ...]
) -> VisitRecord:
    number, label, route, how, title, path, warmth, low, *moments = row
    begun, over = moment(*moments[:4]), ended(*moments[4:])
    return VisitRecord(
        number, label, route, begun, over, how, findings, readings, title, path, warmth, steps, bool(low)
    )


def _finding(boot: str, at: float, wall: float, synced: int, number: int, *what: Any) -> Finding:
    step, kind, severity, zone, undone, title, note = what
    return Finding(number, moment(boot, at, wall, synced), step, kind, severity, zone, bool(undone), title, note)


def _reading(boot: str, at: float, wall: float, synced: int, number: int, *what: Any) -> Reading:
    gauge, value, unit, uncertainty = what
    return Reading(number, moment(boot, at, wall, synced), gauge, value, unit, uncertainty)


def _step(boot: str, at: float, wall: float, synced: int, number: int, *what: Any) -> StepRecord:
    *words, state = what
    known = _STATES.get(state, StepState.REACHED)
    return StepRecord(number, RouteStep(*words), known, moment(boot, at, wall, synced))


_STATES = {str(state): state for state in StepState}
_NEW_STEP = """INSERT INTO steps (visit, number, boot, at, wall, synced, key, title, pattern, variant, state)
    VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"""
_NOTE = "SELECT id FROM findings WHERE visit = ? AND number = ?"
_END = "UPDATE visits SET end_boot = ?, end_at = ?, end_wall = ?, end_synced = ?, how = ? WHERE id = ?"
_VISITS = """SELECT v.id, v.label, v.route, v.how, v.title, v.path, v.warmth, v.low,
    b.name, v.at, v.wall, v.synced, e.name, v.end_at, v.end_wall, v.end_synced
    FROM visits v JOIN boots b ON b.id = v.boot LEFT JOIN boots e ON e.id = v.end_boot WHERE v.deleted = 0"""
_FINDINGS = """SELECT f.visit, b.name, at, wall, synced, f.id, step, kind, severity, zone, undone, title, f.number
    FROM findings f JOIN boots b ON b.id = boot WHERE {} ORDER BY f.number, f.id"""
_READINGS = """SELECT b.name, at, wall, synced, r.id, gauge, value, unit, uncertainty
    FROM readings r JOIN boots b ON b.id = boot WHERE visit = ? ORDER BY r.id"""
_STEPS = """SELECT b.name, at, wall, synced, number, key, title, pattern, variant, state
    FROM steps JOIN boots b ON b.id = boot WHERE visit = ? ORDER BY number"""
