"""GPIO chips in memory behind the face of the gpiod bindings; as unkind as real ones.

Lines float to their bias, edges are only seen while asked for, the event buffer overflows by dropping the oldest,
reading events when there are none would block for ever (and here fails), and a chip can vanish in use.
"""

import errno
import os
import time
from collections import deque
from types import SimpleNamespace
from typing import Any

import gpiod

Value, Bias, Edge, Direction = gpiod.line.Value, gpiod.line.Bias, gpiod.line.Edge, gpiod.line.Direction
RISING, FALLING = gpiod.EdgeEvent.Type.RISING_EDGE, gpiod.EdgeEvent.Type.FALLING_EDGE


class FakeChip:
    """What is behind one /dev/gpiochipN. ``drive`` plays the outside world; None lets go of the line."""

    def __init__(self, label: str = "pinctrl-bcm2711", lines: int = 54) -> None:
        self.label, self.lines = label, lines
        self.driven: dict[int, int] = {}
        self.requests: dict[int, FakeRequest] = {}
        self.gone = False
        self.opened = 0
        self.calls = 0

    def drive(self, offset: int, level: int | None) -> None:
        """Put a level on a line from outside."""
        before = self.level(offset)
        if level is None:
            self.driven.pop(offset, None)
        else:
            self.driven[offset] = level
        self.notice(offset, before)

    def level(self, offset: int) -> int:
        """The level on the line: an output's own, else what drives it, else its bias, else a stray 0."""
        request = self.requests.get(offset)
        if request is not None and request.settings.direction is Direction.OUTPUT:
            return int(request.settings.output_value is Value.ACTIVE)
        pulled = int(request is not None and request.settings.bias is Bias.PULL_UP)
        return self.driven.get(offset, pulled)

    def notice(self, offset: int, before: int) -> None:
        """Queue an edge if the level changed and somebody asked."""
        after, request = self.level(offset), self.requests.get(offset)
        if request is not None and after != before:
            request.queue(after)

    def vanish(self) -> None:
        """The chip is unplugged."""
        self.gone = True
        for request in self.requests.values():
            os.write(request.poke, b"!")

    def check(self) -> None:
        """Every call to the kernel is counted, and fails once the chip is gone."""
        self.calls += 1
        if self.gone:
            raise OSError(errno.ENODEV, os.strerror(errno.ENODEV))


class FakeRequest:
    """One requested line."""

    def __init__(self, chip: FakeChip, offset: int, settings: Any, size: int) -> None:
        self.chip, self.offset, self.settings = chip, offset, settings
        self.fd, self.poke = os.pipe2(os.O_NONBLOCK)
        self.events: deque[Any] = deque(maxlen=size)

    def queue(self, level: int) -> None:
        """An edge came."""
        wanted = {Edge.BOTH: (0, 1), Edge.RISING: (1,), Edge.FALLING: (0,)}.get(self.settings.edge_detection, ())
        if level in wanted:
            kind = RISING if level else FALLING
            self.events.append(SimpleNamespace(event_type=kind, timestamp_ns=time.monotonic_ns()))
            os.write(self.poke, b".")

    def wait_edge_events(self, timeout: float | None) -> bool:
        """Whether events wait; a vanished chip's request is always ready."""
        assert timeout == 0, "would block"
        return bool(self.events) or self.chip.gone

    def read_edge_events(self) -> list[Any]:
        """The events that wait."""
        self.chip.check()
        assert self.events, "would block for ever"
        os.read(self.fd, 65536)
        events = list(self.events)
        self.events.clear()
        return events

    def reconfigure_lines(self, config: dict[int, Any]) -> None:
        """Change the settings."""
        self.chip.check()
        before = self.chip.level(self.offset)
        self.settings = config[self.offset]
        self.chip.notice(self.offset, before)

    def get_value(self, offset: int) -> Any:
        """The level."""
        self.chip.check()
        return Value.ACTIVE if self.chip.level(offset) else Value.INACTIVE

    def set_value(self, offset: int, value: Any) -> None:
        """Set an output."""
        self.chip.check()
        assert self.settings.direction is Direction.OUTPUT, "EPERM: not an output"
        self.settings = gpiod.LineSettings(direction=Direction.OUTPUT, output_value=value)
        assert offset == self.offset

    def release(self) -> None:
        """Let go."""
        os.close(self.fd)
        os.close(self.poke)
        del self.chip.requests[self.offset]


class FakeHandle:
    """An open chip."""

    def __init__(self, chip: FakeChip) -> None:
        self.chip = chip
        chip.opened += 1

    def __enter__(self) -> "FakeHandle":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def get_info(self) -> Any:
        """Label and number of lines."""
        return SimpleNamespace(label=self.chip.label, num_lines=self.chip.lines)

    def request_lines(self, config: dict[int, Any], consumer: str, event_buffer_size: int) -> FakeRequest:
        """Take a line; EBUSY when it is taken."""
        self.chip.check()
        ((offset, settings),) = config.items()
        if offset in self.chip.requests:
            raise OSError(errno.EBUSY, os.strerror(errno.EBUSY))
        assert consumer
        self.chip.requests[offset] = FakeRequest(self.chip, offset, settings, event_buffer_size)
        return self.chip.requests[offset]

    def close(self) -> None:
        """Let go of the chip; requests live on."""
        self.chip.opened -= 1


class FakeGpiod:
    """Stands in for the module. ``chips`` by path; None for one that may not be opened."""

    LineSettings = gpiod.LineSettings
    line = gpiod.line
    EdgeEvent = gpiod.EdgeEvent

    def __init__(self, chips: dict[str, FakeChip | None]) -> None:
        self.chips = chips

    def Chip(self, path: str) -> FakeHandle:  # noqa: N802 - the bindings' name
        """Open a chip."""
        if path not in self.chips:
            raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), path)
        if (chip := self.chips[path]) is None:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), path)
        return FakeHandle(chip)
