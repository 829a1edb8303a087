"""What is done with a damaged file: found at the start, put aside with its log, never written into or thrown away."""

import os
import sqlite3
from contextlib import suppress
from pathlib import Path

from appliance.records.schema import APPLICATION_ID, tables_of, version
from appliance.records.trouble import Why, trouble

COMPANIONS = ("-wal", "-shm", "-journal")
"""What SQLite keeps beside a file (sqlite.org/tempfiles.html); a file and its log belong together."""

MOST_PUT_ASIDE = 9
"""A card that spoils a file at each start is failing; its room is not filled with the remains."""


class Broken(Exception):
    """The file is damaged or not ours; it is to be put aside."""


def check(connection: sqlite3.Connection) -> None:
    """Raises :class:`Broken` for a damaged file and for one that is not ours."""
    found = [row[0] for row in connection.execute("PRAGMA quick_check(1)")]
    if found != ["ok"]:
        raise Broken(" ".join(str(found[0]).split()) if found else "the check says nothing")
    tables = {row[0] for row in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")}
    (mark,) = connection.execute("PRAGMA application_id").fetchone()
    if tables and (mark != APPLICATION_ID or not tables.issuperset(tables_of(max(1, version(connection))))):
        raise Broken("it is not a file of ours")


def emptied(path: Path) -> bool:
    """Whether the file lost its content and its log did not: SQLite would take the pair for a new, empty file."""
    return filled(beside(path, "-wal")) and not filled(path)


def put_aside(path: Path) -> Path:
    """Rename a file and what lies beside it to the first free ``.broken-N``, lastingly; the new name.

    To be done while SQLite still has it open, so that closing cannot fold the log in and take it away. Raises
    :class:`StoreTrouble` when there are :data:`MOST_PUT_ASIDE` already, ``OSError`` when it cannot be renamed.
    """
    aside = _free(path)
    for end in ("", *COMPANIONS):
        with suppress(FileNotFoundError):
            beside(path, end).rename(beside(aside, end))
    _sync_folder(path.parent)
    return aside


def beside(path: Path, end: str) -> Path:
    """The companion of a file whose name ends so."""
    return path.with_name(path.name + end)


def filled(path: Path) -> bool:
    """Whether there is a file with something in it."""
    return path.exists() and path.stat().st_size > 0


def _free(path: Path) -> Path:
    for number in range(1, MOST_PUT_ASIDE + 1):
        aside = beside(path, f".broken-{number}")
        if not any(beside(aside, end).exists() for end in ("", *COMPANIONS)):
            return aside
    raise trouble(Why.OTHER, path, f"damaged, and {MOST_PUT_ASIDE} damaged ones lie beside it already")


def _sync_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
