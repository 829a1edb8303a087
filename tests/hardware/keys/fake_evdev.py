"""Input devices in memory behind the face of the evdev package, with files in a folder for the kernel to watch."""

import errno
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import evdev


class FakeInput:
    """The plugged device: what it can, what is down, who grabbed it."""

    def __init__(self, path: Path, *names: str, name: str = "pad") -> None:
        self.path, self.name = path, name
        self.codes = [evdev.ecodes.ecodes[n] for n in names]
        self.held: set[int] = set()
        self.events: list[Any] = []
        self.handle: FakeHandle | None = None
        self.busy = False
        self.gone = False
        path.touch()

    def move(self, name: str, value: int) -> None:
        """A key goes down (1), up (0) or repeats (2)."""
        code = evdev.ecodes.ecodes[name]
        (self.held.add if value else self.held.discard)(code)
        self.send(evdev.ecodes.EV_KEY, code, value)
        self.send(evdev.ecodes.EV_SYN, evdev.ecodes.SYN_REPORT, 0)

    def send(self, kind: int, code: int, value: int) -> None:
        """One raw event, to whoever has opened it, unless another program has grabbed it."""
        if self.handle is not None and not self.busy:
            self.events.append(evdev.InputEvent(0, 0, kind, code, value))
            self.wake()

    def wake(self) -> None:
        """Make the handle readable."""
        if self.handle is not None:
            os.write(self.handle.poke, b".")

    def unplug(self) -> None:
        """Pull it out: reads fail, the node goes."""
        self.gone = True
        self.wake()
        self.path.unlink()


class FakeHandle:
    """An opened device."""

    def __init__(self, device: FakeInput) -> None:
        self.device, self.name = device, device.name
        self.fd, self.poke = os.pipe2(os.O_NONBLOCK)
        self.grabbed = False
        device.handle = self

    def capabilities(self) -> dict[int, list[int]]:
        """Its keys."""
        return {evdev.ecodes.EV_KEY: self.device.codes} if self.device.codes else {}

    def active_keys(self) -> list[int]:
        """What is down."""
        return sorted(self.device.held)

    def grab(self) -> None:
        """EBUSY when another program has it."""
        if self.device.busy:
            raise OSError(errno.EBUSY, os.strerror(errno.EBUSY))
        self.grabbed = True

    def read(self) -> Iterator[Any]:
        """The events that wait; EAGAIN when there are none."""
        if self.device.gone:
            raise OSError(errno.ENODEV, os.strerror(errno.ENODEV))
        os.read(self.fd, 4096)
        events, self.device.events = self.device.events, []
        yield from events

    def close(self) -> None:
        """Let go."""
        os.close(self.fd)
        os.close(self.poke)
        self.device.handle = None


class FakeEvdev:
    """Stands in for the package."""

    ecodes = evdev.ecodes

    def __init__(self) -> None:
        self.devices: dict[str, FakeInput] = {}
        self.forbidden: set[str] = set()

    def plug(self, path: Path, *names: str, name: str = "pad") -> FakeInput:
        """A new device."""
        device = FakeInput(path, *names, name=name)
        self.devices[str(path)] = device
        return device

    def InputDevice(self, path: str) -> FakeHandle:  # noqa: N802 - the package's name
        """Open one; EACCES until udev has given it its group."""
        if path in self.forbidden:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), path)
        return FakeHandle(self.devices[path])
