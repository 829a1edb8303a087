"""Where slow work is done, so that pictures and keys never wait for it: one thread, one job after the other.

A commit to a card takes as long as the card likes, and the light of a picture is reckoned from all of its samples. A
job gives back what the loop is to do about it; the loop does that in its own time. In reckoned time there is no
thread: a job is done at once, so that a run is the same each time.
"""

import logging
import os
import queue
from collections import deque
from collections.abc import Callable
from threading import Thread

log = logging.getLogger(__name__)

Then = Callable[[float], None]
"""What the loop does about a job that is done, handed the time."""
Job = Callable[[], Then | None]

PATIENCE = 5.0
"""Seconds at the end for jobs that still wait: a disk that hangs must not keep the box from stopping."""


class Backroom:
    """``threaded``: whether jobs have a thread of their own; ``patience`` as :data:`PATIENCE`."""

    def __init__(self, *, threaded: bool, patience: float = PATIENCE) -> None:
        self._patience = patience
        self._jobs: queue.SimpleQueue[Job | None] = queue.SimpleQueue()
        self._done: deque[Then] = deque()
        self._thread = Thread(target=self._work, name="backroom", daemon=True) if threaded else None
        self._begun = False
        self._read = self._write = -1
        if threaded:
            self._read, self._write = os.pipe2(os.O_NONBLOCK | os.O_CLOEXEC)

    def do(self, job: Job) -> None:
        """Have ``job`` done, after those that wait."""
        if self._thread is None:
            self._run(job)
            return
        if not self._begun:
            self._begun = True
            self._thread.start()
        self._jobs.put(job)

    def news(self, now: float) -> None:
        """Do what came of jobs that are done."""
        self._drain()
        while self._done:
            self._done.popleft()(now)

    def fileno(self) -> int | None:
        """What is readable once there are news; None without a thread."""
        return None if self._thread is None else self._read

    def due(self) -> float | None:
        """When :meth:`news` is wanted: at once, when there are any."""
        return 0.0 if self._done else None

    def close(self) -> None:
        """Wait for what is still to be done, at most :data:`PATIENCE`; no job comes after this."""
        if self._thread is None:
            return
        if self._begun:
            self._jobs.put(None)
            self._thread.join(self._patience)
            if self._thread.is_alive():
                log.error("what was still to be kept is not: the disk has not answered for %g s", self._patience)
                return  # the pipe is still the thread's
        os.close(self._read)
        os.close(self._write)

    def _work(self) -> None:
        while (job := self._jobs.get()) is not None:
            self._run(job)

    def _run(self, job: Job) -> None:
        try:
            then = job()
        except Exception:
            # A fault in here must not end the box: the picture stays.
            log.exception("beside the picture")
            return
        if then is not None:
            self._done.append(then)
            self._wake()

    def _wake(self) -> None:
        if self._thread is not None:
            try:  # noqa: SIM105 - full is as good: the loop wakes
                os.write(self._write, b".")
            except BlockingIOError:
                pass

    def _drain(self) -> None:
        if self._thread is None:
            return
        try:  # noqa: SIM105 - nothing there is the usual case
            os.read(self._read, 512)
        except BlockingIOError:
            pass
