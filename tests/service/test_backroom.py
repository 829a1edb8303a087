"""Slow work beside the picture: in order, never waited for, its faults kept in there."""

import logging
import select
from threading import Event

import pytest

from appliance.service import backroom
from appliance.service.backroom import Backroom

PATIENCE = 30.0


def wait(room: Backroom) -> None:
    """Until there are news."""
    file = room.fileno()
    assert file is not None
    assert select.select([file], [], [], PATIENCE)[0]


def hang(event: Event) -> None:
    """Wait for ``event``, as for a disk."""
    event.wait(PATIENCE)


def test_a_job_that_hangs_holds_up_nobody() -> None:
    """Jobs are handed over at once while one hangs; they are done in order once it is over."""
    room, hanging, done = Backroom(threaded=True), Event(), list[str]()
    room.do(lambda: hang(hanging))
    room.do(lambda: lambda _: done.append("first"))
    room.do(lambda: lambda _: done.append("second"))
    room.news(0.0)
    assert done == []
    hanging.set()
    while len(done) < 2:
        wait(room)
        room.news(0.0)
    assert done == ["first", "second"]
    room.close()


def test_a_fault_is_logged_and_the_next_job_done(caplog: pytest.LogCaptureFixture) -> None:
    """Out of memory as anything else."""

    def fail() -> None:
        raise MemoryError("none left")

    for threaded in (False, True):
        room, done = Backroom(threaded=threaded), list[float]()
        with caplog.at_level(logging.ERROR):
            room.do(fail)
            room.do(lambda done=done: done.append)  # type: ignore[misc]
            if threaded:
                wait(room)
        room.news(5.0)
        assert done == [5.0]
        room.close()
    assert caplog.text.count("MemoryError: none left") == 2


def test_without_a_thread_jobs_are_done_at_once() -> None:
    """And what came of them waits for the loop, which is told so."""
    room, done = Backroom(threaded=False), list[float]()
    assert room.due() is None
    room.do(lambda: done.append)
    assert (room.due(), done) == (0.0, [])
    room.news(7.0)
    assert (room.due(), done, room.fileno()) == (None, [7.0], None)
    room.close()


def test_what_still_waits_is_done_at_the_end() -> None:
    """Closing waits for it."""
    room, done = Backroom(threaded=True), list[int]()
    for n in range(50):
        room.do(lambda n=n: done.append(n))  # type: ignore[misc]
    room.close()
    assert done == list(range(50))


def test_a_disk_that_hangs_does_not_keep_the_box_from_stopping(caplog: pytest.LogCaptureFixture) -> None:
    """Patience has an end, and the log says so."""
    room, hanging = Backroom(threaded=True, patience=0.05), Event()
    room.do(lambda: hang(hanging))
    with caplog.at_level(logging.ERROR):
        room.close()
    assert "has not answered" in caplog.text
    hanging.set()
    assert backroom.PATIENCE >= 1
