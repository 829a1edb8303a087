"""From callbacks, of whatever thread, to the loop that waits."""

import contextlib
import os
import select
from collections import deque
from typing import Any, Generic, TypeVar

T = TypeVar("T")


class Mailbox(Generic[T]):
    """Things put in by callbacks, in order, and a file that is readable while there are any.

    gpiozero's own pin factories call back from a thread of theirs. A ``factory`` that leaves the waiting to us (it has
    ``dispatch``, and its ``threaded`` is false) is waited for together with the box, and made to call back when the
    box is emptied. Several boxes may share such a factory: whichever is emptied first fills them all, and the others
    then are readable themselves.
    """

    def __init__(self, factory: Any = None) -> None:
        self._things: deque[T] = deque()
        self._out, self._in = os.pipe2(os.O_NONBLOCK | os.O_CLOEXEC)
        self._both: select.epoll | None = None
        self._dispatch = None if getattr(factory, "threaded", True) else factory.dispatch
        if self._dispatch is not None:
            self._both = select.epoll()
            self._both.register(self._out, select.EPOLLIN)
            self._both.register(factory.fileno(), select.EPOLLIN)

    def put(self, thing: T) -> None:
        """Put one in; may be called from any thread."""
        self._things.append(thing)
        self.poke()

    def poke(self) -> None:
        """Make the file readable until the box is next emptied."""
        if self._in >= 0:
            with contextlib.suppress(BlockingIOError):  # a full pipe is readable enough
                os.write(self._in, b".")

    def take(self) -> list[T]:
        """Empty the box; never blocks."""
        if self._dispatch is not None:
            self._dispatch()
        with contextlib.suppress(BlockingIOError):
            while os.read(self._out, 4096):
                pass
        return [self._things.popleft() for _ in range(len(self._things))]

    def fileno(self) -> int:
        """What to wait on."""
        return self._out if self._both is None else self._both.fileno()

    def close(self) -> None:
        """Let go of the files; a second call does nothing."""
        if self._in < 0:
            return
        if self._both is not None:
            self._both.close()
        os.close(self._out)
        os.close(self._in)
        self._in = self._out = -1
