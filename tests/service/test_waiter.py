"""Waiting: woken by a file, by a signal, by the time; and simulated time that never stands still unseen."""

import os
import signal
import socket
from collections.abc import Iterator

import pytest

from appliance.service.waiter import STANDSTILL, RealWaiter, SimulatedWaiter

FAR = 30.0
"""Seconds no test here lasts: a wait that nothing ends is a failure, not a hang."""


@pytest.fixture
def waiter() -> Iterator[RealWaiter]:
    """A real one; what signals woke before is put back."""
    before = signal.set_wakeup_fd(-1)
    made = RealWaiter()
    yield made
    signal.set_wakeup_fd(before)


def took(waiter: RealWaiter, files: list[int], until: float | None) -> float:
    """Seconds that a wait took."""
    start = waiter.clock()
    assert waiter.wait(files, until)
    return waiter.clock() - start


def test_a_readable_file_ends_the_wait(waiter: RealWaiter) -> None:
    """At once when it is readable already, whatever else is waited for."""
    reader, writer = os.pipe()
    other, _writer = os.pipe()
    os.write(writer, b".")
    assert took(waiter, [other, reader], waiter.clock() + FAR) < FAR / 2
    for file in (reader, writer, other, _writer):
        os.close(file)


def test_a_closed_end_ends_the_wait(waiter: RealWaiter) -> None:
    """A device that went away wakes the loop, so that it hears of it."""
    ours, theirs = socket.socketpair()
    theirs.close()
    assert took(waiter, [ours.fileno()], waiter.clock() + FAR) < FAR / 2
    ours.close()


def test_a_signal_ends_the_wait(waiter: RealWaiter) -> None:
    """Its handler has run by then, and one that came before the wait began is not lost."""
    heard: list[int] = []
    before = signal.signal(signal.SIGUSR1, lambda number, _: heard.append(number))
    try:
        os.kill(os.getpid(), signal.SIGUSR1)
        assert took(waiter, [], waiter.clock() + FAR) < FAR / 2
        assert heard == [signal.SIGUSR1]
        assert took(waiter, [], waiter.clock() + 0.01) < FAR / 2, "the signal was taken in: only the time ends this"
    finally:
        signal.signal(signal.SIGUSR1, before)


def test_a_signal_during_the_wait_ends_it(waiter: RealWaiter) -> None:
    """Python would go on sleeping after the handler (PEP 475): an alarm in the middle of an endless wait."""
    before = signal.signal(signal.SIGALRM, lambda *_: None)
    try:
        signal.setitimer(signal.ITIMER_REAL, 0.02)
        assert took(waiter, [], None) < FAR / 2
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def test_the_time_ends_the_wait(waiter: RealWaiter) -> None:
    """Never a hair early, which would make a loop of empty passes; a time gone by costs no waiting."""
    for n in range(20):
        until = waiter.clock() + n / 10_000
        waiter.wait([], until)
        assert waiter.clock() >= until
    assert took(waiter, [], waiter.clock() - 5) < FAR / 2


def test_files_may_change_between_waits(waiter: RealWaiter) -> None:
    """A file no longer waited for wakes nobody, even with the same number closed and opened anew."""
    reader, writer = os.pipe()
    os.write(writer, b".")
    waiter.wait([reader], None)
    until = waiter.clock() + 0.005
    waiter.wait([], until)
    assert waiter.clock() >= until
    os.close(reader)
    os.close(writer)


class World:
    """Things that happen at times; the last is the end."""

    def __init__(self, *times: float) -> None:
        self.times, self.happened = list(times), list[float]()

    def due(self) -> float | None:
        """The next."""
        return self.times[0] if self.times else None

    def happen(self, now: float) -> bool:
        """Let it."""
        self.happened.append(now)
        self.times.pop(0)
        return bool(self.times)


def test_simulated_time_jumps_to_what_comes_first() -> None:
    """Of the loop's wishes and the world's doings; at the world's end it says so."""
    world = World(2.0, 5.0)
    waiter = SimulatedWaiter(world=world)
    assert waiter.wait([], 1.5)
    assert (waiter.now, world.happened) == (1.5, [])
    assert waiter.wait([], 9.0)
    assert (waiter.now, world.happened) == (2.0, [2.0])
    assert not waiter.wait([], None)
    assert world.happened == [2.0, 5.0]


def test_simulated_time_ends_when_nothing_is_due() -> None:
    """Nothing will ever happen again."""
    assert not SimulatedWaiter().wait([], None)
    assert not SimulatedWaiter(world=World()).wait([], None)


def test_simulated_time_never_runs_backwards() -> None:
    """What is overdue is done now."""
    waiter = SimulatedWaiter(10.0)
    waiter.wait([], 3.0)
    assert waiter.now == 10.0


def test_standing_time_is_told() -> None:
    """Something that is always due is a fault of the box, and not a hang."""
    waiter = SimulatedWaiter(1.0)
    for _ in range(STANDSTILL):
        waiter.wait([], 1.0)
    with pytest.raises(RuntimeError, match=r"time stands at 1.0 s: due are \[1.0\]"):
        waiter.wait([], 1.0)
