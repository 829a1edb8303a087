"""A graphics card of the kernel, open, and the system calls it is reached through."""

from __future__ import annotations

import fcntl
import mmap
import os
import select
from array import array

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any, Protocol

    from appliance.hardware.screens.uapi import Call

    class System(Protocol):
        """What a card is reached through: the real system calls, or a pretend kernel in a test."""

        def cards(self, folder: str) -> list[str]:
            """Paths of the cards in ``folder``."""

        def open(self, path: str) -> int:
            """A file descriptor whose reads do not block; raises ``OSError``."""

        def close(self, fd: int) -> None:
            """Close it; raises ``OSError``."""

        def ioctl(self, fd: int, number: int, data: bytearray) -> None:
            """Call, and let the kernel change ``data``; raises ``OSError``."""

        def map(self, fd: int, size: int, offset: int) -> mmap.mmap:
            """The memory of a buffer; raises ``OSError``."""

        def read(self, fd: int, size: int) -> bytes:
            """Whole events; raises ``BlockingIOError`` when there are none."""

        def wait(self, fd: int, seconds: float) -> bool:
            """Whether an event is there within so many seconds."""


_TRIES = 100


class Linux:
    """The real system calls."""

    def cards(self, folder: str) -> list[str]:
        """Paths of the cards in ``folder``, by number; none when there is no such folder."""
        try:
            names = [name for name in os.listdir(folder) if name[:4] == "card" and name[4:].isdigit()]  # noqa: PTH208 - pathlib is heavy
        except OSError:
            return []
        return [f"{folder}/{name}" for name in sorted(names, key=lambda name: int(name[4:]))]

    def open(self, path: str) -> int:
        """A file descriptor whose reads do not block."""
        return os.open(path, os.O_RDWR | os.O_CLOEXEC | os.O_NONBLOCK)

    def close(self, fd: int) -> None:
        """Close it."""
        os.close(fd)

    def ioctl(self, fd: int, number: int, data: bytearray) -> None:
        """Call, and let the kernel change ``data``; raises ``OSError``."""
        fcntl.ioctl(fd, number, data, True)

    def map(self, fd: int, size: int, offset: int) -> mmap.mmap:
        """The memory of a buffer, to be written only."""
        return mmap.mmap(fd, size, mmap.MAP_SHARED, mmap.PROT_WRITE, offset=offset)

    def read(self, fd: int, size: int) -> bytes:
        """Whole events, as many as fit in ``size`` bytes; raises ``BlockingIOError`` when there are none."""
        return os.read(fd, size)

    def wait(self, fd: int, seconds: float) -> bool:
        """Whether an event is there within so many seconds."""
        return bool(select.select([fd], [], [], seconds)[0])


LINUX = Linux()


class Card:
    """An open card. The first to open one nobody holds becomes its master; closing it gives everything back."""

    def __init__(self, path: str, system: System = LINUX) -> None:
        """Raises ``OSError`` when ``path`` cannot be opened."""
        self.path, self.system = path, system
        self.fd = system.open(path)

    def call(self, request: Call, **given: int | bytes) -> dict[str, Any]:
        """The structure that the kernel gave back; raises ``OSError``."""
        data = request.pack(**given)
        for left in reversed(range(_TRIES)):
            try:
                self.system.ioctl(self.fd, request.number, data)
                break
            except (InterruptedError, BlockingIOError):  # EINTR and EAGAIN mean "once more" to every card
                if not left:
                    raise
        return request.unpack(data)

    def lists(self, request: Call, wanted: dict[str, tuple[str, str, int]], **given: int) -> dict[str, Any]:
        """As :meth:`call`, with the lists behind its pointers read as well.

        ``wanted`` names for each pointer field its count field, the array's type code and how many of these make
        one entry. Asked first with no room; then with a spare place, since an empty list means "look anew" to some.
        """
        room = {count: 0 for count, _, _ in wanted.values()}
        while True:
            arrays = {
                name: array(code, bytes(array(code).itemsize * each * room[count]))
                for name, (count, code, each) in wanted.items()
            }
            pointers = {name: values.buffer_info()[0] if values else 0 for name, values in arrays.items()}
            answer = self.call(request, **given, **room, **pointers)
            if all(answer[count] <= size for count, size in room.items()) and any(room.values()):
                return {
                    **answer,
                    **{name: arrays[name][: answer[count] * each] for name, (count, _, each) in wanted.items()},
                }
            room = {count: answer[count] + 1 for count in room}

    def close(self) -> None:
        """Close the card; a card that went away is closed all the same."""
        try:  # noqa: SIM105 - contextlib is heavy
            self.system.close(self.fd)
        except OSError:
            pass
