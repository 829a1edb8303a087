"""Every file operation of a program, recorded by strace (strace(1)) and read into plain values."""

import re
import subprocess
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

CALLS = (
    "openat,write,pwrite64,writev,pwritev,ftruncate,truncate,fallocate,"
    "fsync,fdatasync,sync_file_range,unlink,unlinkat,rename,renameat,renameat2,link,linkat"
)


class Operation(NamedTuple):
    """One call on a file of the folder watched. ``kind``: create, write, resize, sync, sync folder, unlink, rename,
    or acknowledge, whose ``data`` are the words written to the file of acknowledgements.
    """

    kind: str
    name: str = ""
    offset: int = 0
    data: bytes = b""
    other: str = ""


def record(program: Iterable[str], folder: Path, acknowledgements: Path, trace: Path) -> list[Operation]:
    """Run a Python program under strace; its operations in order. Raises when it fails."""
    command = ["strace", "-y", "-xx", "-s", "1000000", "-e", f"trace={CALLS}", "-e", "signal=none", "-o", str(trace)]
    subprocess.run([*command, sys.executable, *program], check=True, timeout=120)
    return list(operations(trace.read_text("ascii").splitlines(), str(folder), str(acknowledgements)))


def operations(lines: Iterable[str], folder: str, acknowledgements: str) -> Iterator[Operation]:
    """What the lines of a trace say of the folder. Raises ``ValueError`` for a call that is not understood."""
    for line in lines:
        call, paren, rest = line.partition("(")
        words, equals, result = rest.rpartition(") = ")
        if not paren or not equals or result.startswith("-1"):
            continue
        paths = [path for path in _paths(words) if path.startswith(folder)]
        if f"<{acknowledgements}>" in _plain(words.split(",")[0]):
            yield Operation("acknowledge", data=_strings(words)[-1])
        elif paths:
            yield from _operation(call, words, result, folder, paths)


def _operation(call: str, words: str, result: str, folder: str, paths: list[str]) -> Iterator[Operation]:
    name = paths[0].removeprefix(folder).strip("/")
    numbers = words.rsplit(", ", 2)
    if "(deleted)" in words or name.endswith("-shm"):
        return
    if call == "pwrite64":
        assert int(numbers[1]) == int(result.split(maxsplit=1)[0]), "a write cut short"
        yield Operation("write", name, int(numbers[2]), _strings(words)[-1])
    elif call == "ftruncate":
        yield Operation("resize", name, int(numbers[-1]))
    elif call in ("fsync", "fdatasync"):
        yield Operation("sync", name) if name else Operation("sync folder")
    elif call in ("unlink", "unlinkat"):
        yield Operation("unlink", name)
    elif call == "openat":
        assert "O_TRUNC" not in words, "an opening that empties"
        if "O_CREAT" in words:
            yield Operation("create", name)
    elif call.startswith("rename"):
        yield Operation("rename", name, other=paths[1].removeprefix(folder).strip("/"))
    else:
        raise ValueError(f"not understood: {call}({_plain(words)[:200]}")


def _paths(words: str) -> list[str]:
    """Every path in a call: of a handle ``3<...>`` and in quotes."""
    return [_bytes(found).decode("utf-8", "replace") for found in re.findall(r'[<"]((?:\\x[0-9a-f]{2})+)[>"]', words)]


def _strings(words: str) -> list[bytes]:
    return [_bytes(found) for found in re.findall(r'"((?:\\x[0-9a-f]{2})*)"', words)]


def _plain(words: str) -> str:
    return re.sub(r"(?:\\x[0-9a-f]{2})+", lambda found: _bytes(found[0]).decode("utf-8", "replace"), words)


def _bytes(text: str) -> bytes:
    return bytes.fromhex(text.replace("\\x", ""))
