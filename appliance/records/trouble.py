"""What can go wrong with a disk, in words a person can act upon.

The result codes are SQLite's (sqlite.org/rescode.html): where the whole code is not known, its low byte tells. SQLite
itself is imported once something is really opened: a box that has nothing to keep does without.
"""

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path

from appliance.errors import Refused


class Why(StrEnum):
    """The kind of a trouble: what a lamp or a caption can tell apart."""

    FULL = "full"
    READ_ONLY = "read-only"
    BROKEN = "broken"
    BUSY = "busy"
    CLOSED = "closed"
    OTHER = "other"


class StoreTrouble(Refused):
    """A record could not be kept or read; the message names the file and the remedy, ``why`` the kind."""

    def __init__(self, message: str, why: Why = Why.OTHER) -> None:
        super().__init__(message)
        self.why = why


class VisitDeleted(StoreTrouble):
    """Nothing can be kept of the visit, now or later: it was deleted meanwhile."""


class VisitFull(StoreTrouble):
    """The visit holds as many findings as one may, and takes no more; nothing ails the disk."""


_WORDS = {
    Why.FULL: "the disk is full, nothing more is kept: {path}: make room on it",
    Why.READ_ONLY: "the records cannot be written: {path} is read-only: mount it for writing or choose another folder",
    Why.BROKEN: "the records are damaged: {path}: they are put aside and begun afresh at the next start",
    Why.BUSY: "the records are held by another program: {path}: end that program",
    Why.CLOSED: "the records are not open: {path}",
    Why.OTHER: "the records cannot be used: {path}: {detail}: look at the disk",
}

_CODES = {
    "SQLITE_FULL": Why.FULL,
    "SQLITE_READONLY": Why.READ_ONLY,
    "SQLITE_CORRUPT": Why.BROKEN,
    "SQLITE_NOTADB": Why.BROKEN,
    "SQLITE_BUSY": Why.BUSY,
    "SQLITE_LOCKED": Why.BUSY,
    "SQLITE_IOERR_SHMSIZE": Why.FULL,  # the log's index could not grow
}

_NUMBERS = {
    errno.ENOSPC: Why.FULL,
    errno.EDQUOT: Why.FULL,
    errno.EROFS: Why.READ_ONLY,
    errno.EACCES: Why.READ_ONLY,
    errno.EPERM: Why.READ_ONLY,
    errno.EWOULDBLOCK: Why.BUSY,
}


def trouble(why: Why, path: Path, detail: object = "") -> StoreTrouble:
    """The trouble in the house's words; ``detail`` is what the system said, used where there is nothing better."""
    return StoreTrouble(_WORDS[why].format(path=path, detail=detail), why)


def why_of(error: BaseException) -> Why:
    """The kind of trouble behind an error of SQLite, of the system, or of words that cannot be read."""
    import sqlite3

    if isinstance(error, sqlite3.Error):
        codes = {getattr(sqlite3, name): why for name, why in _CODES.items()}
        code = getattr(error, "sqlite_errorcode", 0)
        return codes.get(code) or codes.get(code & 0xFF, Why.OTHER)
    if isinstance(error, UnicodeDecodeError):
        return Why.BROKEN  # SQLite's own words about a damaged file quote its rubbish
    return _NUMBERS.get(error.errno or 0, Why.OTHER) if isinstance(error, OSError) else Why.OTHER


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Errors of SQLite and of the system inside come out as :class:`StoreTrouble`, and as nothing else."""
    import sqlite3

    try:
        yield
    except (sqlite3.Error, OSError, MemoryError, UnicodeDecodeError) as error:
        raise trouble(why_of(error), path, error) from error
