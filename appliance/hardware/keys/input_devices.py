"""Keys of the kernel's input devices: a USB number pad, gpio-keys, any keyboard; taken as they are plugged in."""

import fcntl
import logging
import select
import struct
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from appliance.errors import Refused
from appliance.hardware.keys.folder_watch import FolderWatch
from appliance.presses.edges import Edge

log = logging.getLogger(__name__)

SYSFS = Path("/sys/class/input")
_WORD = 8 * struct.calcsize("l")  # bits of the kernel's words in there
_SWITCHES = {"KEY_POWER": 116, "KEY_SLEEP": 142, "KEY_WAKEUP": 143}  # linux/input-event-codes.h
EVIOCSCLOCKID = 0x400445A0  # linux/input.h: _IOW('E', 0xa0, int)


class InputKeys:
    """Every device that has at least one key of ``keymap`` is grabbed, so that nothing typed reaches a console.

    Beware: grabbed means that no other program hears it, a laptop's own keyboard included; only the box wants that.
    Without ``grab`` the devices are only listened to, and whoever else hears them still does.
    A key is down while any device holds it. A device that goes away lets go of its keys. Without the evdev package
    there are no keys from here, and one line in the log says so.

    ``folder`` is where the devices are, ``evdev`` stands in for the package in tests. Raises :class:`Refused` when
    ``keymap`` names a key the kernel does not know.
    """

    def __init__(
        self,
        keymap: Mapping[str, str],
        *,
        grab: bool = True,
        folder: Path = Path("/dev/input"),
        evdev: Any = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._folder, self._clock, self._grab = folder, clock, grab
        self._devices: dict[int, _Device] = {}
        self._holders: dict[str, set[tuple[str, int]]] = {}
        self._ready: list[Edge] = []
        self._names, self._evdev = keymap, evdev
        self._keymap = _codes(keymap, evdev) if evdev else {}
        there = evdev is not None or _there()
        self._watch = _watch(folder) if there else None
        self._epoll = select.epoll() if there else None
        if self._epoll is not None:
            if self._watch is not None:
                self._epoll.register(self._watch.fd, select.EPOLLIN)
            self._look(clock())

    def names(self) -> tuple[str, ...]:
        """What the devices taken call themselves."""
        return tuple(device.name for device in self._devices.values())

    def fileno(self) -> int | None:
        """Readable when a key changed or a device came or went; None without evdev."""
        return None if self._epoll is None else self._epoll.fileno()

    def due(self) -> float | None:
        """At once when keys were down as a device came; otherwise edges come by themselves."""
        return self._ready[0].at if self._ready else None

    def read(self, now: float) -> list[Edge]:
        """The edges since the last call. Never raises: a device lost is one device less."""
        for fd, _ in self._epoll.poll(0) if self._epoll is not None else []:
            if self._watch is not None and fd == self._watch.fd:
                self._watch.clear()
                self._look(now)
            elif fd in self._devices:
                self._read(self._devices[fd], now)
        edges, self._ready = self._ready, []
        return edges

    def close(self) -> None:
        """Let go of every device; a second call does nothing."""
        for device in self._devices.values():
            device.close()
        self._devices.clear()
        if self._epoll is not None:
            self._epoll.close()
        if self._watch is not None:
            self._watch.close()
        self._epoll = self._watch = None

    def _look(self, now: float) -> None:
        """Take what is new in the folder. One that may not be opened yet is tried again when its rights change."""
        known = {device.path for device in self._devices.values()}
        for path in sorted(str(p) for p in self._folder.glob("event*")):
            if path not in known and (self._evdev or _has_keys(path, self._names)):
                try:
                    self._take(path, now)
                except OSError as error:
                    log.info("input device %s not taken: %s", path, error.strerror or error)

    def _take(self, path: str, now: float) -> None:
        if self._evdev is None:
            self._evdev = _slim_evdev()
            self._keymap = _codes(self._names, self._evdev)
        device = _Device(path, self._evdev, self._clock)
        try:
            if not self._keymap.keys() & device.codes():
                device.close()
                return
            if self._grab:
                device.grab()
        except OSError:
            device.close()
            raise
        assert self._epoll is not None
        self._epoll.register(device.fd, select.EPOLLIN)
        self._devices[device.fd] = device
        log.info("keys from %s (%s)", device.name, path)
        self._match(device, now)

    def _read(self, device: "_Device", now: float) -> None:
        try:
            for code, down, at in device.changes():
                if code is None:
                    self._match(device, at)
                else:
                    self._change(device, code, down, at)
        except BlockingIOError:
            return
        except OSError as error:
            log.warning("keys from %s (%s) are gone: %s", device.name, device.path, error.strerror or error)
            self._drop(device, now)
            self._look(now)  # it may be back under the same name already

    def _match(self, device: "_Device", at: float) -> None:
        """Bring what is held into step with what the device says is down: at its coming, and after lost events."""
        down = device.down()
        for code in self._keymap:
            self._change(device, code, code in down, at)

    def _change(self, device: "_Device", code: int, down: bool, at: float) -> None:
        if (key := self._keymap.get(code)) is None:
            return
        holders = self._holders.setdefault(key, set())
        before = bool(holders)
        (holders.add if down else holders.discard)((device.path, code))
        if before is not bool(holders):
            self._ready.append(Edge(key, bool(holders), at))

    def _drop(self, device: "_Device", now: float) -> None:
        del self._devices[device.fd]
        for code in self._keymap:
            self._change(device, code, False, now)
        device.close()  # its file leaves the epoll by itself


class _Device:
    """One device of evdev's, with times of our clock."""

    def __init__(self, path: str, evdev: Any, clock: Callable[[], float]) -> None:
        self.path, self._clock = path, clock
        self._e = evdev.ecodes
        self._device = evdev.InputDevice(path)
        self.fd: int = self._device.fd
        self.name: str = self._device.name
        self._stamped = clock is time.monotonic and _stamp_monotonic(self.fd)
        self._dropped = False

    def codes(self) -> set[int]:
        """The codes of all its keys."""
        return set(self._device.capabilities().get(self._e.EV_KEY, ()))

    def down(self) -> set[int]:
        """The codes of the keys that are down now."""
        return set(self._device.active_keys())

    def grab(self) -> None:
        """Hear it alone; raises ``OSError`` when another program does."""
        self._device.grab()

    def changes(self) -> Iterator[tuple[int | None, bool, float]]:
        """Code, whether down, when; a code of None: events were lost, look at what is down. Repeats are left out.

        What follows a SYN_DROPPED up to the next report is to be ignored (the kernel's input/event-codes document).
        """
        for event in self._device.read():
            report = event.type == self._e.EV_SYN
            if report and event.code == self._e.SYN_DROPPED:
                self._dropped = True
            elif report and self._dropped:
                self._dropped = False
                yield None, False, self._at(event)
            elif event.type == self._e.EV_KEY and event.value in (0, 1) and not self._dropped:
                yield event.code, event.value == 1, self._at(event)

    def close(self) -> None:
        """Let go of it, also when it is gone."""
        try:
            self._device.close()  # which also ends the grab
        except OSError as error:
            log.debug("closing %s: %s", self.path, error)

    def _at(self, event: Any) -> float:
        return float(event.timestamp()) if self._stamped else self._clock()


def _stamp_monotonic(fd: int) -> bool:
    """Ask for stamps of the monotonic clock instead of wall time; False when the device cannot."""
    try:
        fcntl.ioctl(fd, EVIOCSCLOCKID, struct.pack("i", time.CLOCK_MONOTONIC))
    except OSError:
        return False
    return True


def _there() -> bool:
    """Whether there is the package; it is imported with the first device that has keys: most boxes have none."""
    if find_spec("evdev") is not None:
        return True
    log.warning("no keys from input devices: the Python package evdev is not installed (python3-evdev)")
    return False


def _has_keys(path: str, names: Mapping[str, str]) -> bool:
    """Whether a device has keys beside those that switch a machine off and on, as sysfs tells: its bits in words."""
    if _SWITCHES.keys() & names.keys():
        return True
    try:
        words = (SYSFS / Path(path).name / "device/capabilities/key").read_text("ascii").split()
    except OSError:
        return True
    bits = sum(int(word, 16) << (_WORD * place) for place, word in enumerate(reversed(words)))
    return bool(bits & ~sum(1 << code for code in _SWITCHES.values()))


def _slim_evdev() -> Any:
    """evdev without asyncio, which it can do without and which brings TLS with it: six megabytes for nothing."""
    sys.modules.setdefault("asyncio", None)  # type: ignore[arg-type] # None: an import of it fails
    try:
        import evdev
    finally:
        if sys.modules["asyncio"] is None:
            del sys.modules["asyncio"]
    return evdev


def _watch(folder: Path) -> FolderWatch | None:
    try:
        return FolderWatch(folder)
    except OSError as error:
        log.warning("input devices plugged in later will not be noticed: %s", error)
        return None


def _codes(keymap: Mapping[str, str], evdev: Any) -> dict[int, str]:
    known = evdev.ecodes.ecodes
    for name in keymap:
        if not name.startswith(("KEY_", "BTN_")) or name not in known:
            raise Refused(f"input device key {name!r}: no such key; use names like KEY_KP6 or KEY_ENTER")
    return {known[name]: key for name, key in keymap.items()}
