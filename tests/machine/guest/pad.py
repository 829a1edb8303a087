"""A number pad made with uinput: making it is plugging it in, removing it is pulling it out."""

import os
import struct
import time
from fcntl import ioctl

# linux/uinput.h and linux/input-event-codes.h
UI_DEV_CREATE, UI_DEV_SETUP, UI_SET_EVBIT, UI_SET_KEYBIT = 0x5501, 0x405C5503, 0x40045564, 0x40045565
EV_SYN, EV_KEY, BUS_USB = 0, 1, 3
CODES = {
    "KP7": 71, "KP8": 72, "KP9": 73, "KPMINUS": 74, "KP4": 75, "KP5": 76, "KP6": 77, "KPPLUS": 78, "KP1": 79,
    "KP2": 80, "KP3": 81, "KP0": 82, "KPDOT": 83, "KPENTER": 96, "KPSLASH": 98, "KPASTERISK": 55, "NUMLOCK": 69,
    "BACKSPACE": 14, "ENTER": 28, "UP": 103, "LEFT": 105, "RIGHT": 106, "DOWN": 108,
}  # fmt: skip

_plugged: dict[str, int] = {}


def plug(name: str = "number pad") -> None:
    """Plug a pad of ``name`` in."""
    fd = os.open("/dev/uinput", os.O_WRONLY | os.O_NONBLOCK)
    ioctl(fd, UI_SET_EVBIT, EV_KEY)
    for code in CODES.values():
        ioctl(fd, UI_SET_KEYBIT, code)
    ioctl(fd, UI_DEV_SETUP, struct.pack("4H80sI", BUS_USB, 0x1234, 0x5678, 1, name.encode(), 0))
    ioctl(fd, UI_DEV_CREATE)
    _plugged[name] = fd


def unplug(name: str = "number pad") -> None:
    """Pull it out, whatever key is down."""
    os.close(_plugged.pop(name))


def move(key: str, down: bool, name: str = "number pad") -> list[float]:
    """A key of the pad goes down or up; monotonic seconds before and after it was done."""
    events = ((EV_KEY, CODES[key], int(down)), (EV_SYN, 0, 0))
    before = time.monotonic()
    os.write(_plugged[name], b"".join(struct.pack("qqHHi", 0, 0, *event) for event in events))
    return [before, time.monotonic()]
