"""The tables, and how a file of an older version comes to have them.

Each record has its moment: the boot it was made in, monotonic seconds of that boot, wall seconds and whether the wall
clock had been set. Tables are STRICT so that ``quick_check`` finds a value of the wrong type, too
(sqlite.org/stricttables.html).
"""

import sqlite3

APPLICATION_ID = 0x464D5253
"""Marks the file as ours (sqlite.org/pragma.html#pragma_application_id); the letters FMRS."""

_MOMENT = """
    boot INTEGER NOT NULL REFERENCES boots(id),
    at REAL NOT NULL,
    wall REAL NOT NULL,
    synced INTEGER NOT NULL"""

_FIRST = (
    "CREATE TABLE boots (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE) STRICT",
    f"""CREATE TABLE visits (
    id INTEGER PRIMARY KEY, {_MOMENT},
    label TEXT NOT NULL,
    route TEXT NOT NULL,
    end_boot INTEGER REFERENCES boots(id), end_at REAL, end_wall REAL, end_synced INTEGER,
    how TEXT NOT NULL DEFAULT '') STRICT""",
    f"""CREATE TABLE findings (
    id INTEGER PRIMARY KEY, {_MOMENT},
    visit INTEGER NOT NULL REFERENCES visits(id),
    step TEXT NOT NULL,
    kind TEXT NOT NULL,
    severity INTEGER NOT NULL,
    zone INTEGER,
    undone INTEGER NOT NULL DEFAULT 0) STRICT""",
    f"""CREATE TABLE readings (
    id INTEGER PRIMARY KEY, {_MOMENT},
    visit INTEGER REFERENCES visits(id),
    soak INTEGER REFERENCES soaks(id),
    gauge TEXT NOT NULL,
    value REAL NOT NULL,
    unit TEXT NOT NULL,
    uncertainty REAL,
    CHECK ((visit IS NULL) <> (soak IS NULL))) STRICT""",
    f"""CREATE TABLE soaks (
    id INTEGER PRIMARY KEY, {_MOMENT},
    name TEXT NOT NULL,
    title TEXT NOT NULL,
    plan TEXT NOT NULL,
    end_boot INTEGER REFERENCES boots(id), end_at REAL, end_wall REAL, end_synced INTEGER,
    how TEXT NOT NULL DEFAULT '',
    left_out INTEGER NOT NULL DEFAULT 0) STRICT""",
    # Clustered by soak: an event or a heartbeat touches one page of one tree, so a commit stays small.
    f"""CREATE TABLE events (
    soak INTEGER NOT NULL REFERENCES soaks(id),
    number INTEGER NOT NULL, {_MOMENT},
    kind TEXT NOT NULL,
    elapsed REAL NOT NULL,
    phase INTEGER NOT NULL,
    words TEXT NOT NULL,
    PRIMARY KEY (soak, number)) STRICT, WITHOUT ROWID""",
    f"""CREATE TABLE heartbeats (
    soak INTEGER NOT NULL REFERENCES soaks(id),
    minute INTEGER NOT NULL, {_MOMENT},
    elapsed REAL NOT NULL,
    phase INTEGER NOT NULL,
    celsius REAL,
    undervoltage INTEGER,
    PRIMARY KEY (soak, boot, minute)) STRICT, WITHOUT ROWID""",
)

_SECOND = (
    "ALTER TABLE visits ADD COLUMN title TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE visits ADD COLUMN path TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE visits ADD COLUMN warmth TEXT NOT NULL DEFAULT ''",
    # A visit's number stands on photographs: one that is deleted leaves its row, so that no other gets its number.
    "ALTER TABLE visits ADD COLUMN deleted INTEGER NOT NULL DEFAULT 0",
    "ALTER TABLE findings ADD COLUMN title TEXT NOT NULL DEFAULT ''",
    # Clustered by visit: what became of a step touches one page.
    f"""CREATE TABLE steps (
    visit INTEGER NOT NULL REFERENCES visits(id),
    number INTEGER NOT NULL, {_MOMENT},
    key TEXT NOT NULL,
    title TEXT NOT NULL,
    pattern TEXT NOT NULL,
    variant TEXT NOT NULL,
    state TEXT NOT NULL,
    PRIMARY KEY (visit, number)) STRICT, WITHOUT ROWID""",
)

_THIRD = (
    # The note's own number in its visit: what was reported lost and comes again is known by it.
    "ALTER TABLE findings ADD COLUMN number INTEGER NOT NULL DEFAULT 0",
    "UPDATE findings SET number = id",
    # Whether the box was short of voltage in the visit: what it showed may be its own fault.
    "ALTER TABLE visits ADD COLUMN low INTEGER NOT NULL DEFAULT 0",
)

MIGRATIONS: tuple[tuple[str, ...], ...] = (_FIRST, _SECOND, _THIRD)
"""Entry n takes a file from version n to n + 1; an entry that has shipped is never changed."""

_ADDED = (("boots", "visits", "findings", "readings", "soaks", "events", "heartbeats"), ("steps",), ())

TABLES = tuple(name for names in _ADDED for name in names)


def tables_of(number: int) -> tuple[str, ...]:
    """The tables that a file of version ``number`` has at least."""
    return tuple(name for names in _ADDED[:number] for name in names)


def version(connection: sqlite3.Connection) -> int:
    """The version of the file's tables; 0 for a new file."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def migrate(connection: sqlite3.Connection, migrations: tuple[tuple[str, ...], ...] = MIGRATIONS) -> None:
    """Bring the tables up to date inside the caller's transaction: all of it is done, or nothing."""
    for number, statements in enumerate(migrations[version(connection) :], version(connection) + 1):
        for statement in statements:
            connection.execute(statement)
        connection.execute(f"PRAGMA user_version = {number:d}")
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID:d}")
