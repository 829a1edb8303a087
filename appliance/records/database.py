"""One SQLite file in the mode that was found to lose nothing that was acknowledged.

Write-ahead log, ``synchronous=FULL``: a commit returns once it is on the disk (sqlite.org/pragma.html). ``psow=0``: no
trust that a torn write spares its neighbours, so each commit ends on a sector's border (sqlite.org/psow.html). One
read-write connection and no other: several could meet the race described in sqlite.org/wal.html#walresetbug.
"""

import fcntl
import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any
from urllib.parse import quote

from appliance.records.damage import Broken, beside, check, emptied, filled, put_aside
from appliance.records.schema import MIGRATIONS, migrate, version
from appliance.records.surroundings import FILE
from appliance.records.trouble import StoreTrouble, Why, told, trouble, why_of

Connect = Callable[..., sqlite3.Connection]
"""As :func:`sqlite3.connect`."""

LOCK = "records.lock"
_BUSY_SECONDS = 0.5
_LOG_PAGES = 100  # the log is folded into the file at 400 KiB: the most that a start has to read back
_MODE = (
    ("journal_mode = WAL", "wal"),
    ("synchronous = FULL", 2),
    ("foreign_keys = ON", 1),
    (f"wal_autocheckpoint = {_LOG_PAGES}", _LOG_PAGES),
    ("cache_size = -200", -200),  # KiB: records are written and hardly ever read, and a small board has other uses
)


class Database:
    """The file in ``folder``; ``connect`` is handed in so that a test can put a failing disk in its place."""

    def __init__(self, folder: Path, connect: Connect = sqlite3.connect) -> None:
        self.path = folder / FILE
        self._connect = connect
        self._connection: sqlite3.Connection | None = None
        self._lock: int | None = None

    def open(self) -> str:
        """Open for writing, checked and up to date. Words for the screen when a broken file was put aside, else "".

        Raises :class:`StoreTrouble` when the disk is full, read-only or failing, or another program has the records.
        """
        self.close()
        try:
            with told(self.path):
                self.path.parent.mkdir(parents=True, exist_ok=True)
                self._lock = _locked(self.path.with_name(LOCK))
                return self._opened()
        except BaseException:
            self.close()
            raise

    def open_to_read(self) -> None:
        """Open for reading, beside a program that writes, too. A folder without records reads as empty ones."""
        self.close()
        with told(self.path):
            if self.path.exists():
                self._connection = self._reader()
                self._check_newer()
            else:
                self._connection = _settled(self._connect(":memory:", isolation_level=None))
                migrate(self._connection)

    def close(self) -> None:
        """Let go of the file; the log is folded in. Never raises: what was acknowledged is on the disk already."""
        self._let_go()
        lock, self._lock = self._lock, None
        if lock is not None:
            os.close(lock)

    @contextmanager
    def transaction(self) -> Iterator[sqlite3.Connection]:
        """What is done inside is on the disk when this ends; after any error none of it is.

        Raises :class:`StoreTrouble` for whatever SQLite or the disk says.
        """
        with told(self.path):
            connection = self._open_connection()
            _roll_back(connection)  # a rollback that the disk refused may be left from an earlier trouble
            connection.execute("BEGIN IMMEDIATE")
            try:
                yield connection
                connection.execute("COMMIT")
            except BaseException:
                with suppress(sqlite3.Error):
                    _roll_back(connection)
                raise

    def rows(self, statement: str, *values: object) -> list[Any]:
        """The rows that a statement finds. Raises :class:`StoreTrouble`."""
        with told(self.path):
            return self._open_connection().execute(statement, values).fetchall()

    def _let_go(self) -> None:
        connection, self._connection = self._connection, None
        if connection is not None:
            with suppress(sqlite3.Error):
                connection.close()

    def _open_connection(self) -> sqlite3.Connection:
        if self._connection is None:
            raise trouble(Why.CLOSED, self.path)
        return self._connection

    def _opened(self) -> str:
        try:
            self._start()
        except Broken as broken:
            kept = self._put_aside()
            self._start_afresh()
            return f"the records were damaged ({broken}): put aside as {kept.name}, begun afresh"
        return ""

    def _start(self) -> None:
        if emptied(self.path):
            raise Broken("the file is empty, its log is not")
        try:
            self._connection = _settled(self._connect(self._uri("psow=0"), **_HOW))
            check(self._connection)
            self._set_mode(self._connection)
            self._check_newer()
            self._migrate()
        except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
            if why_of(error) is Why.BROKEN:
                raise Broken(str(error)) from error
            raise

    def _start_afresh(self) -> None:
        try:
            self._start()
        except Broken as broken:
            raise trouble(Why.OTHER, self.path, broken) from broken

    def _set_mode(self, connection: sqlite3.Connection) -> None:
        for words, wanted in _MODE:
            name = words.split(" ", maxsplit=1)[0]
            connection.execute(f"PRAGMA {words}")
            (got,) = connection.execute(f"PRAGMA {name}").fetchone()
            if got != wanted:
                raise trouble(Why.OTHER, self.path, f"this disk allows {name} only as {got!r}, not {wanted!r}")

    def _check_newer(self) -> None:
        found = version(self._open_connection())
        if found > len(MIGRATIONS):
            raise StoreTrouble(
                f"the records are of a newer version ({found}, this program knows {len(MIGRATIONS)}): {self.path}: "
                "bring the program up to date"
            )

    def _migrate(self) -> None:
        if version(self._open_connection()) < len(MIGRATIONS):
            with self.transaction() as connection:
                migrate(connection)

    def _put_aside(self) -> Path:
        aside = put_aside(self.path)
        self._let_go()
        return aside

    def _reader(self) -> sqlite3.Connection:
        try:
            connection = _settled(self._connect(self._uri("mode=ro"), **_HOW))
            version(connection)
        except sqlite3.OperationalError:
            if filled(beside(self.path, "-wal")):
                raise  # without its log the file would tell an older story
            # A folder that the reader may not write into, and no log in it: nothing is being written either.
            connection = _settled(self._connect(self._uri("mode=ro&immutable=1"), **_HOW))
        return connection

    def _uri(self, words: str) -> str:
        return f"file:{quote(os.fsencode(self.path.absolute()))}?{words}"


_HOW: dict[str, Any] = {"uri": True, "isolation_level": None, "timeout": _BUSY_SECONDS}


def _settled(connection: sqlite3.Connection) -> sqlite3.Connection:
    connection.text_factory = lambda text: text.decode("utf-8", "replace")
    return connection


def _roll_back(connection: sqlite3.Connection) -> None:
    if connection.in_transaction:
        connection.execute("ROLLBACK")


def _locked(path: Path) -> int:
    """The lock file, open and locked until closed. Raises ``BlockingIOError`` when another program has it."""
    lock = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o644)
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(lock)
        raise
    return lock
