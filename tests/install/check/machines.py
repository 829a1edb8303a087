"""Machines to be checked: folders that look like one, and doubles of the bindings."""

from collections.abc import Sequence
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from appliance.commands.install import run as install
from appliance.install.check import Line, Sources, check_all
from appliance.settings import Settings, load

MODES = [{"name": "720x480i"}, {"name": "720x576i"}]
SYSTEMS = ["NTSC", "NTSC-443", "NTSC-J", "PAL", "PAL-M", "PAL-N", "SECAM", "Mono"]
"""What the kernel's connector property offers (drivers/gpu/drm/drm_connector.c, drm_tv_mode_enum_list)."""


def card(held: bool = False, tv_modes: Sequence[str] = SYSTEMS, connector: str = "Composite") -> dict[str, Any]:
    """A card as ``screens.describe`` tells of it."""
    facts = {
        "name": f"{connector}-1",
        "type": connector,
        "status": "unknown",
        "modes": MODES,
        "tv_modes": list(tv_modes),
    }
    return {"path": "/dev/dri/card1", "driver": "vc4", "held": held, "connectors": [facts]}


class Chip:
    """A GPIO chip of the bindings' second version; ``taken`` holds who has which line."""

    def __init__(self, label: str, taken: dict[int, str]) -> None:
        self._label, self._taken = label, taken
        self.open = False

    def __enter__(self) -> "Chip":
        self.open = True
        return self

    def __exit__(self, *_: object) -> None:
        self.open = False

    def get_info(self) -> SimpleNamespace:
        """As the bindings."""
        assert self.open
        return SimpleNamespace(label=self._label)

    def get_line_info(self, line: int) -> SimpleNamespace:
        """As the bindings."""
        assert self.open
        return SimpleNamespace(used=line in self._taken, consumer=self._taken.get(line))


def gpiod(label: str = "pinctrl-bcm2835", taken: dict[int, str] | None = None) -> SimpleNamespace:
    """The bindings, with one chip whatever its path."""
    return SimpleNamespace(Chip=lambda _: Chip(label, taken or {}), request_lines=None)


class Device:
    """An input device with these key codes; ``closed`` counts how often it was closed."""

    closed = 0

    def __init__(self, path: str) -> None:
        if path.endswith("event9"):
            raise PermissionError(13, "Permission denied", path)
        self.name = "A number pad" if path.endswith("event0") else "A mouse"
        self._keys = [79] if path.endswith("event0") else [272]

    def capabilities(self) -> dict[int, list[int]]:
        """Codes by type."""
        return {1: self._keys}

    def close(self) -> None:
        """Counted."""
        type(self).closed += 1


def evdev() -> SimpleNamespace:
    """The bindings, with the real names and codes of linux/input-event-codes.h that the tests need."""
    codes = {"KEY_KP1": 79, "KEY_KPENTER": 96, "KEY_KPPLUS": 78, "KEY_KPMINUS": 74, "KEY_KPASTERISK": 55,
             "KEY_KPSLASH": 98, "KEY_KP0": 82, "KEY_KP2": 80, "KEY_KP3": 81, "KEY_KP4": 75, "KEY_KP5": 76,
             "KEY_KP6": 77, "KEY_KP7": 71, "KEY_KP8": 72, "KEY_KP9": 73, "KEY_KPDOT": 83, "KEY_RIGHT": 106,
             "KEY_LEFT": 105, "KEY_ENTER": 28, "KEY_V": 47, "KEY_N": 49, "KEY_0": 11,
             **{f"KEY_{n}": n + 1 for n in range(1, 10)}}  # fmt: skip
    return SimpleNamespace(ecodes=SimpleNamespace(ecodes=codes, EV_KEY=1), InputDevice=Device)


def pi(root: Path, *, installed: bool = True) -> Path:
    """A Zero 2 W's folders: model, system, boot files, a GPIO chip, input devices, a place to keep things."""
    texts = {
        "proc/device-tree/model": "Raspberry Pi Zero 2 W Rev 1.0\0",
        "proc/mounts": "/dev/mmcblk0p2 / ext4 rw 0 0\ntmpfs /run tmpfs rw 0 0\n",
        "etc/os-release": 'NAME="Debian"\nPRETTY_NAME="Debian GNU/Linux 13 (trixie)"\n',
        "boot/firmware/config.txt": "dtoverlay=vc4-kms-v3d\n",
        "boot/firmware/cmdline.txt": "console=tty1 root=/dev/mmcblk0p2 rootwait\n",
        "sys/class/thermal/thermal_zone0/temp": "41000\n",
        "sys/class/hwmon/hwmon0/name": "rpi_volt\n",
        "sys/class/hwmon/hwmon0/in0_lcrit_alarm": "0\n",
        "dev/gpiochip0": "",
        "dev/input/event0": "",
        "dev/input/event1": "",
        "dev/input/event9": "",
        "var/lib/fieldmouse/kept": "",
    }
    for name, text in texts.items():
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text(text)
    if installed:
        install("zero2", "PAL", root, dry_run=False)
    return root


def sources(root: Path, **other: Any) -> Sources:
    """Where to look: a Pi's folders and good doubles, but for what is given otherwise."""
    return Sources(root, **{"cards": lambda: [card()], "gpiod": gpiod(), "evdev": evdev(), **other})


def checked(seen: Sources, settings: Settings | None = None) -> dict[str, Line]:
    """The lines by topic, the worst or last of each."""
    return {line.topic: line for line in check_all(settings or load(), None, None, seen)}
