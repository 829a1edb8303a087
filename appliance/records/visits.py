"""Visits: the findings and readings of one set at one time. Each call returns once its record is on the disk."""

from typing import Any

from appliance.records.database import Database
from appliance.records.entries import Finding, Reading, VisitRecord
from appliance.records.writing import Stamp, clean, ended, moment


class Visits:
    """The visits in a file; every method raises :class:`StoreTrouble` as the store's own do."""

    def __init__(self, database: Database, stamp: Stamp) -> None:
        self._database, self._stamp = database, stamp

    def begin(self, label: str, route: str, at: float) -> int:
        """A visit begins; its number."""
        with self._database.transaction() as connection:
            made = connection.execute(
                "INSERT INTO visits (boot, at, wall, synced, label, route) VALUES (?, ?, ?, ?, ?, ?)",
                (*self._stamp(connection, at), clean(label), clean(route)),
            )
            return int(made.lastrowid or 0)

    def add_finding(
        self, visit_id: int, at: float, step: str, kind: str, severity: int, zone: int | None = None
    ) -> int:
        """A fault noted at a step; its number."""
        with self._database.transaction() as connection:
            made = connection.execute(
                "INSERT INTO findings (boot, at, wall, synced, visit, step, kind, severity, zone)"
                " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (*self._stamp(connection, at), visit_id, clean(step), clean(kind), severity, zone),
            )
            return int(made.lastrowid or 0)

    def undo(self, finding_id: int) -> None:
        """The finding was taken back; it stays in the file, marked."""
        with self._database.transaction() as connection:
            connection.execute("UPDATE findings SET undone = 1 WHERE id = ?", (finding_id,))

    def add_reading(
        self, visit_id: int, at: float, gauge: str, value: float, unit: str, uncertainty: float | None = None
    ) -> int:
        """What a gauge read; its number."""
        with self._database.transaction() as connection:
            made = connection.execute(
                "INSERT INTO readings (boot, at, wall, synced, visit, gauge, value, unit, uncertainty)"
                " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (*self._stamp(connection, at), visit_id, clean(gauge), value, clean(unit), uncertainty),
            )
            return int(made.lastrowid or 0)

    def end(self, visit_id: int, at: float, how: str) -> None:
        """The visit is over."""
        with self._database.transaction() as connection:
            connection.execute(
                "UPDATE visits SET end_boot = ?, end_at = ?, end_wall = ?, end_synced = ?, how = ? WHERE id = ?",
                (*self._stamp(connection, at), clean(how), visit_id),
            )

    def one(self, visit_id: int) -> VisitRecord | None:
        """A visit with its findings and readings; ``None`` when there is none of that number."""
        for row in self._database.rows(f"{_VISITS} WHERE v.id = ?", visit_id):
            return self._visit(*row)
        return None

    def unfinished(self) -> VisitRecord | None:
        """The latest visit, if it has not ended: the one that a power cut left."""
        latest = self._database.rows(f"{_VISITS} ORDER BY v.id DESC LIMIT 1")
        record = self._visit(*latest[0]) if latest else None
        return record if record and record.ended is None else None

    def _visit(self, number: int, label: str, route: str, how: str, *moments: Any) -> VisitRecord:
        findings = self._database.rows(_FINDINGS, number)
        readings = self._database.rows(_READINGS, number)
        return VisitRecord(
            number,
            label,
            route,
            moment(*moments[:4]),
            ended(*moments[4:]),
            how,
            tuple(_finding(*row) for row in findings),
            tuple(_reading(*row) for row in readings),
        )


def _finding(boot: str, at: float, wall: float, synced: int, number: int, *what: Any) -> Finding:
    step, kind, severity, zone, undone = what
    return Finding(number, moment(boot, at, wall, synced), step, kind, severity, zone, bool(undone))


def _reading(boot: str, at: float, wall: float, synced: int, number: int, *what: Any) -> Reading:
    gauge, value, unit, uncertainty = what
    return Reading(number, moment(boot, at, wall, synced), gauge, value, unit, uncertainty)


_VISITS = """SELECT v.id, v.label, v.route, v.how,
    b.name, v.at, v.wall, v.synced, e.name, v.end_at, v.end_wall, v.end_synced
    FROM visits v JOIN boots b ON b.id = v.boot LEFT JOIN boots e ON e.id = v.end_boot"""
_FINDINGS = """SELECT b.name, at, wall, synced, f.id, step, kind, severity, zone, undone
    FROM findings f JOIN boots b ON b.id = boot WHERE visit = ? ORDER BY f.id"""
_READINGS = """SELECT b.name, at, wall, synced, r.id, gauge, value, unit, uncertainty
    FROM readings r JOIN boots b ON b.id = boot WHERE visit = ? ORDER BY r.id"""
