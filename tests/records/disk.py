"""A disk that loses its power: what may be left of recorded operations.

What was synced survives. Of the rest each 512-byte sector of a write survives or not, by chance; so does each change
of a file's size; of the changes to the folder's names some first ones survive. With a blast, the 4 KiB block around a
write in flight may be ruined, neighbours and all. These are the assumptions of sqlite.org/psow.html, and less.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from random import Random
from types import MappingProxyType

from tests.records.recording import Operation

SECTOR, BLOCK = 512, 4096

State = dict[str, bytes]
"""What a folder holds: a file's name and its content."""


@dataclass(eq=False)
class File:
    """Its content on the platter, and the operations that may not be there yet."""

    durable: bytearray = field(default_factory=bytearray)
    pending: list[Operation] = field(default_factory=list)

    def sync(self) -> None:
        """Everything that was asked for is on the platter."""
        for operation in self.pending:
            apply(self.durable, operation)
        self.pending.clear()


class Disk:
    """One folder of it; ``state`` is what it holds at the start."""

    def __init__(self, state: Mapping[str, bytes] = MappingProxyType({})) -> None:
        self.names = {name: File(bytearray(content)) for name, content in state.items()}
        self._durable_names = dict(self.names)
        self._changes: list[Callable[[dict[str, File]], object]] = []

    def do(self, operation: Operation) -> None:
        """Take part in one operation, as the program saw it succeed."""
        kind, name = operation.kind, operation.name
        if kind == "create" and name not in self.names:
            new = File()
            self._change(lambda names: names.__setitem__(name, new))
        elif kind in ("write", "resize"):
            self.names[name].pending.append(operation)
        elif kind == "sync":
            self.names[name].sync()
        elif kind == "unlink":
            self._change(lambda names: names.pop(name, None))
        elif kind == "rename":
            self._change(lambda names: names.__setitem__(operation.other, names.pop(name)))
        elif kind == "sync folder":
            self._durable_names = dict(self.names)
            self._changes.clear()

    def cut(self, chance: Random, blast: bool) -> State:
        """What is there after the power came back."""
        names = dict(self._durable_names)
        for change in self._changes[: chance.randint(0, len(self._changes))]:
            change(names)
        survival = chance.choice((0.0, 0.1, 0.5, 0.9, 1.0))
        return {name: _left(file, chance, survival, blast) for name, file in names.items()}

    def _change(self, change: Callable[[dict[str, File]], object]) -> None:
        change(self.names)
        self._changes.append(change)


def apply(content: bytearray, operation: Operation) -> None:
    """A write or a change of size, whole."""
    if operation.kind == "resize":
        _resize(content, operation.offset)
    else:
        _resize(content, max(len(content), operation.offset + len(operation.data)))
        content[operation.offset : operation.offset + len(operation.data)] = operation.data


def _left(file: File, chance: Random, survival: float, blast: bool) -> bytes:
    content = bytearray(file.durable)
    for operation in file.pending:
        for piece in _sectors(operation):
            if chance.random() < survival:
                apply(content, piece)
    if blast:
        for operation in file.pending:
            if operation.kind == "write" and chance.random() < 0.5:
                _ruin(content, operation, chance)
    return bytes(content)


def _sectors(operation: Operation) -> list[Operation]:
    if operation.kind == "resize":
        return [operation]
    start, end = operation.offset, operation.offset + len(operation.data)
    borders = [start, *range(start - start % SECTOR + SECTOR, end, SECTOR), end]
    return [
        operation._replace(offset=one, data=operation.data[one - start : other - start])
        for one, other in pairwise(borders)
    ]


def _ruin(content: bytearray, operation: Operation, chance: Random) -> None:
    first = operation.offset - operation.offset % BLOCK
    last = min(len(content), operation.offset + len(operation.data))
    for block in range(first, last, BLOCK):
        size = min(BLOCK, len(content) - block)
        content[block : block + size] = chance.choice((bytes(size), b"\xff" * size, chance.randbytes(size)))


def _resize(content: bytearray, size: int) -> None:
    if size < len(content):
        del content[size:]
    else:
        content.extend(bytes(size - len(content)))
