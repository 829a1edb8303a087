"""The GPIO chip and the lines that the settings name: free, or taken, and by whom. Input devices beside them."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from appliance.hardware.gpiod_factory import find_chip
from appliance.install.check.line import Line, State
from appliance.install.check.sources import Sources
from appliance.settings import Settings
from appliance.settings.checks import used_pins


def check_gpio(settings: Settings, sources: Sources, running: bool) -> Iterator[Line]:
    """The chip, and each line in use."""
    gpiod = sources.gpiod
    if gpiod is None or not hasattr(gpiod, "request_lines"):
        seen = "the Python package gpiod is not installed" if gpiod is None else "gpiod is older than version 2"
        yield Line("gpio", State.WRONG, seen, "apt install python3-libgpiod (Debian 13 or later), or pip install gpiod")
        return
    try:
        path = _chip(settings, sources, gpiod)
        with gpiod.Chip(path) as chip:
            yield Line("gpio", State.FINE, f"{path} ({chip.get_info().label})")
            yield _lines(settings, chip, running)
    except OSError as error:
        yield Line(
            "gpio",
            State.WRONG,
            error.strerror or str(error),
            "keys and lamps need the board's chip, and the group gpio",
        )


def _chip(settings: Settings, sources: Sources, gpiod: Any) -> str:
    if settings.gpio.chip != "auto":
        return str(sources.root / "dev" / settings.gpio.chip)
    return find_chip(gpiod, sorted(str(path) for path in (sources.root / "dev").glob("gpiochip*")))


def _lines(settings: Settings, chip: Any, running: bool) -> Line:
    taken = []
    for place, pin in used_pins(settings):
        info = chip.get_line_info(pin)
        if info.used:
            taken.append(f"GPIO {pin} ({place[-1]}) by {info.consumer or 'somebody'}")
    count = len(used_pins(settings))
    if not taken:
        return Line("pins", State.FINE, f"all {count} free")
    if running and len(taken) == count:
        return Line("pins", State.FINE, f"all {count} taken, and the box is running")
    return Line(
        "pins", State.WRONG, f"taken: {', '.join(taken)}", "free them, or give these keys and lamps other lines"
    )


def check_devices(settings: Settings, sources: Sources) -> Iterator[Line]:
    """Input devices with at least one key of the map."""
    if not settings.keys.devices.use:
        return
    if sources.evdev is None:
        remedy = "apt install python3-evdev, or set keys.devices.use: false"
        yield Line("pads", State.LOOK, "the Python package evdev is not installed", remedy)
        return
    codes = {code for name in settings.keys.devices.keys if (code := _code(sources.evdev, name)) is not None}
    names = list(_devices(sources, codes))
    yield Line("pads", State.FINE, ", ".join(names) if names else "none plugged in")
    unknown = [name for name in settings.keys.devices.keys if _code(sources.evdev, name) is None]
    if unknown:
        seen = f"the kernel has no key {', '.join(unknown)}"
        yield Line("pads", State.WRONG, seen, "mend keys.devices.map (names as in linux/input-event-codes.h)")


def _code(evdev: Any, name: str) -> int | None:
    code = evdev.ecodes.ecodes.get(name)
    return code if isinstance(code, int) else None


def _devices(sources: Sources, codes: set[int]) -> Iterator[str]:
    for path in sorted(Path(sources.root / "dev/input").glob("event*")):
        try:
            device = sources.evdev.InputDevice(str(path))
        except OSError:
            continue  # not ours to open
        try:
            if codes & set(device.capabilities().get(sources.evdev.ecodes.EV_KEY, [])):
                yield f"{device.name} ({path.name})"
        finally:
            device.close()
