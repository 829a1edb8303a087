"""One line of a GPIO chip as a gpiozero pin; :mod:`appliance.hardware.gpiod_factory` makes them."""

import contextlib
import errno
from collections.abc import Callable, Iterator
from types import MethodType
from typing import TYPE_CHECKING, Any, NamedTuple
from weakref import WeakMethod

from gpiozero import PinInvalidFunction, PinInvalidPull, PinSetInput
from gpiozero.pins import Pin

if TYPE_CHECKING:
    from appliance.hardware.gpiod_factory import GpiodFactory

CONSUMER = "fieldmouse"
EVENT_BUFFER = 64  # edges the kernel keeps for a line: a chattering contact may bounce while a picture is drawn

WhenChanged = Callable[[float, int], None]


class PinInfo(NamedTuple):
    """What gpiozero asks of a pin's place."""

    number: int
    name: str
    names: frozenset[str]
    pull: str = ""
    interfaces: frozenset[str] = frozenset({"gpio"})


class GpiodPin(Pin):  # type: ignore[misc]  # gpiozero has no types
    """One line, requested from the kernel when it is first used and released by :meth:`close`.

    ``when_lost`` may be set to a function: it is called with the error when the chip vanishes.
    """

    def __init__(self, factory: "GpiodFactory", number: int) -> None:
        self.factory = factory
        self.number = number
        self.when_lost: Callable[[OSError], None] | None = None
        self._info = PinInfo(number, f"GPIO{number}", frozenset({f"GPIO{number}", f"BCM{number}"}))
        self._request: Any = None
        self._reset()

    def __repr__(self) -> str:
        return self._info.name

    def _reset(self) -> None:
        self._function, self._pull, self._edges = "input", "floating", "both"
        self._level = 0  # of an output
        self._when_changed: Callable[[], WhenChanged | None] | None = None

    def close(self) -> None:
        """Release the line; it may be used again afterwards."""
        with self.factory.lock:
            self._release()
            self._reset()
            self.when_lost = None

    def output_with_state(self, state: int) -> None:
        """Make it an output that starts at ``state``, without a blip."""
        self._level = int(bool(state))
        self._configure(function="output")

    def input_with_pull(self, pull: str) -> None:
        """Make it an input with ``pull`` at once."""
        self._configure(function="input", pull=self._known_pull(pull))

    def read_edges(self) -> None:
        """Call ``when_changed`` for each edge that waits; never blocks."""
        try:
            events = self._waiting()
        except OSError as error:
            self.factory.lose(error)
            return
        rising = self.factory.gpiod.EdgeEvent.Type.RISING_EDGE
        for event in events:
            if (call := self._get_when_changed()) is not None:
                call(event.timestamp_ns / 1e9, int(event.event_type is rising))

    def lose(self, error: OSError) -> None:
        """The chip is gone."""
        with self.factory.lock:
            used, tell = self._request is not None, self.when_lost
            self._release()
        if used and tell is not None:
            tell(error)

    def _waiting(self) -> list[Any]:
        with self.factory.lock:  # the thread may have been told of a request that was released just now
            if self._request is None or not self._request.wait_edge_events(0):
                return []
            return list(self._request.read_edge_events())

    def _settings(self) -> Any:
        gpiod = self.factory.gpiod
        line = gpiod.line
        if self._function == "output":
            value = line.Value.ACTIVE if self._level else line.Value.INACTIVE
            return gpiod.LineSettings(direction=line.Direction.OUTPUT, output_value=value)
        bias = {"up": line.Bias.PULL_UP, "down": line.Bias.PULL_DOWN, "floating": line.Bias.DISABLED}
        edge = {"both": line.Edge.BOTH, "rising": line.Edge.RISING, "falling": line.Edge.FALLING}
        return gpiod.LineSettings(
            direction=line.Direction.INPUT,
            bias=bias[self._pull],
            edge_detection=edge.get(self._edges if self._when_changed else "none", line.Edge.NONE),
        )

    def _configure(self, **changes: Any) -> None:
        """Take over the changes and tell the kernel, by a request or by changing the one there is."""
        with self.factory.lock:
            for name, value in changes.items():
                setattr(self, f"_{name}", value)
            config = {self.number: self._settings()}
            with self._trouble():
                if self._request is None:
                    self._request = self.factory.chip.request_lines(
                        config, consumer=CONSUMER, event_buffer_size=EVENT_BUFFER
                    )
                else:
                    self._request.reconfigure_lines(config)
                self._watch()

    @contextlib.contextmanager
    def _trouble(self) -> Iterator[None]:
        """Raise what the kernel says; a vanished chip is told to every pin's owner first."""
        if self.factory.lost is not None:
            raise self.factory.lost
        try:
            yield
        except OSError as error:
            if _is_gone(error):
                self.factory.lose(error)
            raise

    def _watch(self) -> None:
        if self._when_changed is not None and self._function == "input":
            self.factory.watch(self, self._request.fd)
        else:
            self.factory.unwatch(self._request.fd)

    def _release(self) -> None:
        if self._request is not None:
            self.factory.unwatch(self._request.fd)
            self._request.release()
            self._request = None

    def _get_info(self) -> PinInfo:
        return self._info

    def _get_function(self) -> str:
        return self._function

    def _set_function(self, value: str) -> None:
        if value not in ("input", "output"):
            raise PinInvalidFunction(f"invalid function {value!r} for pin {self!r}: input or output")
        self._configure(function=value)

    def _get_state(self) -> int:
        with self.factory.lock, self._trouble():
            if self._request is None:
                self._configure()
            value = self._request.get_value(self.number)
        return int(value is self.factory.gpiod.line.Value.ACTIVE)

    def _set_state(self, value: int) -> None:
        if self._function != "output":
            raise PinSetInput(f"cannot set state of pin {self!r}: it is an input")
        self._level = int(bool(value))
        values = self.factory.gpiod.line.Value
        with self.factory.lock, self._trouble():
            if self._request is None:
                self._configure()
            self._request.set_value(self.number, values.ACTIVE if self._level else values.INACTIVE)

    def _get_pull(self) -> str:
        return self._pull

    def _set_pull(self, value: str) -> None:
        self._configure(pull=self._known_pull(value))

    def _known_pull(self, value: str) -> str:
        if value not in ("up", "down", "floating"):
            raise PinInvalidPull(f"invalid pull {value!r} for pin {self!r}: up, down or floating")
        return value

    def _get_edges(self) -> str:
        return self._edges

    def _set_edges(self, value: str) -> None:
        if value not in ("both", "rising", "falling", "none"):
            raise ValueError(f"invalid edges {value!r} for pin {self!r}: both, rising, falling or none")
        self._configure(edges=value)

    def _get_when_changed(self) -> WhenChanged | None:
        held = self._when_changed
        return None if held is None else held()

    def _set_when_changed(self, value: WhenChanged | None) -> None:
        self._configure(when_changed=None if value is None else _weakly(value))


def _weakly(value: WhenChanged) -> Callable[[], WhenChanged | None]:
    """A method without keeping its device alive, as gpiozero does; a function as it is."""
    return WeakMethod(value) if isinstance(value, MethodType) else lambda: value


def _is_gone(error: OSError) -> bool:
    return error.errno in (errno.ENODEV, errno.ENXIO)
