"""Tests of how a file comes to have its tables, and in which mode it is used."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from appliance.records.database import Database
from appliance.records.schema import APPLICATION_ID, MIGRATIONS, TABLES, migrate, version
from appliance.records.trouble import StoreTrouble
from tests.records.workload import made


def test_a_new_file_has_every_table_and_its_mark(tmp_path: Path) -> None:
    """A fresh store is of the latest version, marked as ours, and has each table strict about its types."""
    store = made(tmp_path)
    store.open()
    store.close()
    with closing(sqlite3.connect(tmp_path / "records.sqlite")) as connection:
        assert version(connection) == len(MIGRATIONS)
        assert connection.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
        tables = connection.execute("SELECT name, strict FROM pragma_table_list WHERE name NOT LIKE 'sqlite_%'")
        assert sorted(tables) == sorted((name, 1) for name in TABLES)
        for table in set(TABLES) - {"boots"}:
            columns = {row[1] for row in connection.execute(f"PRAGMA table_info({table})")}
            assert columns >= {"boot", "at", "wall", "synced"}


def test_an_older_file_is_brought_up_to_date_and_keeps_its_rows() -> None:
    """Only the steps that are missing are done, in order."""
    steps = (("CREATE TABLE a (x)",), ("ALTER TABLE a ADD COLUMN y DEFAULT 7", "CREATE TABLE b (z)"))
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        migrate(connection, steps[:1])
        connection.execute("INSERT INTO a VALUES (1)")
        migrate(connection, steps)
        migrate(connection, steps)
        assert version(connection) == 2
        assert connection.execute("SELECT x, y FROM a").fetchall() == [(1, 7)]


def test_a_file_of_the_first_version_keeps_its_visits(tmp_path: Path) -> None:
    """It opens without a word; its visit has no steps, and takes what the new version keeps."""
    with closing(sqlite3.connect(tmp_path / "records.sqlite", isolation_level=None)) as connection:
        migrate(connection, MIGRATIONS[:1])
        connection.execute("INSERT INTO boots VALUES (1, 'boot-0')")
        connection.execute(
            "INSERT INTO visits (boot, at, wall, synced, label, route) VALUES (1, 1.0, 0, 0, 'old', 'r')"
        )
        connection.execute(
            "INSERT INTO findings (boot, at, wall, synced, visit, step, kind, severity)"
            " VALUES (1, 2.0, 0, 0, 1, 's', 'k', 2)"
        )
    store = made(tmp_path)
    assert store.open() == ()
    store.visits.describe(1, warmth="warm")
    record = store.visits.unfinished()
    assert record is not None
    assert (record.label, record.warmth, record.steps, record.title) == ("old", "warm", (), "")
    assert [(finding.kind, finding.title) for finding in record.findings] == [("k", "")]
    store.close()


def test_a_migration_that_fails_changes_nothing(tmp_path: Path) -> None:
    """All of the steps are one transaction: after a failure the file is of the version it was."""
    database = Database(tmp_path)
    database.open()
    before = database.rows("SELECT sql FROM sqlite_schema ORDER BY name")
    failing = (*MIGRATIONS, ("CREATE TABLE later (a)", "DROP TABLE readings"), ("this is no statement",))
    with pytest.raises(StoreTrouble), database.transaction() as connection:
        migrate(connection, failing)
    assert database.rows("SELECT sql FROM sqlite_schema ORDER BY name") == before
    assert database.rows("PRAGMA user_version") == [(len(MIGRATIONS),)]
    database.close()


def test_a_file_of_a_newer_version_is_left_alone(tmp_path: Path) -> None:
    """An older program neither reads nor writes nor puts aside what it does not know."""
    store = made(tmp_path)
    store.open()
    store.begin_soak("kept", "", "", 0.0)
    store.close()
    with closing(sqlite3.connect(tmp_path / "records.sqlite", isolation_level=None)) as connection:
        connection.execute(f"PRAGMA user_version = {len(MIGRATIONS) + 1}")
    for opening in (store.open, store.open_to_read):
        with pytest.raises(StoreTrouble, match="bring the program up to date"):
            opening()
        store.close()
    assert not list(tmp_path.glob("*broken*"))
    with closing(sqlite3.connect(tmp_path / "records.sqlite")) as connection:
        assert connection.execute("SELECT name FROM soaks").fetchall() == [("kept",)]


def test_the_mode_is_the_one_that_loses_nothing(tmp_path: Path) -> None:
    """Asked back from the open connection: write-ahead log, full flushes, foreign keys, no transaction by itself."""
    database = Database(tmp_path)
    database.open()
    connection = database._open_connection()
    assert connection.isolation_level is None
    asked = {name: database.rows(f"PRAGMA {name}")[0][0] for name in ("journal_mode", "synchronous", "foreign_keys")}
    assert asked == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}
    database.close()


def test_a_disk_that_allows_no_log_is_refused(tmp_path: Path) -> None:
    """The journal mode is what SQLite says it is, not what was asked for: in memory there is no write-ahead log."""
    database = Database(tmp_path, lambda *_, **__: sqlite3.connect(":memory:", isolation_level=None))
    with pytest.raises(StoreTrouble, match="journal_mode only as 'memory', not 'wal'"):
        database.open()


def test_a_folder_of_any_name_is_found(tmp_path: Path) -> None:
    """Signs that mean something in an address are part of the name."""
    for name in ("a?mode=memory#x", "100 %41", "Größe", "\udcff"):
        store = made(tmp_path / name)
        store.open()
        store.begin_soak("a", "", "", 0.0)
        store.close()
        assert (tmp_path / name / "records.sqlite").stat().st_size > 4096
