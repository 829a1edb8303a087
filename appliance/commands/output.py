"""What several commands do to write: files that are whole or not there, and a line on how far it is."""

import os
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

from appliance.errors import Refused


def write_whole(path: Path, write: Callable[[Any], object]) -> None:
    """Let ``write`` fill a file beside ``path``, then rename it, so that ``path`` is whole or as it was.

    Raises :class:`Refused` when it cannot be written, or is no file.
    """
    if not path.name:  # "." or "/"
        raise Refused(f"{path}: is a folder; name a file in it with -o")
    try:
        path = path.resolve()  # a link is followed, not replaced
        taken = path.exists() and not path.is_file()
    except (OSError, RuntimeError) as trouble:  # a name too long, links in a ring
        raise unwritable(path, trouble) from None
    if taken:
        raise Refused(f"{path}: is no file; name another place with -o")
    beside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with beside.open("wb") as file:
            write(file)
        beside.replace(path)
    except OSError as trouble:
        raise unwritable(path, trouble) from None
    finally:
        with suppress(OSError):  # it is gone already, or could not even be begun
            beside.unlink()


def unwritable(path: Path, trouble: Exception) -> Refused:
    """The refusal of a place, with what the system said."""
    why = getattr(trouble, "strerror", None) or trouble
    return Refused(f"{path}: cannot be written ({why}); name another place with -o")


def progress(words: str) -> None:
    """On a terminal, what is being looked at, in one line that is written over; empty words clear it."""
    if sys.stderr.isatty():
        sys.stderr.write(f"\r{words[:78]:<78}\r")
        sys.stderr.flush()
