"""Run inside the test machine: real kernel lines and input devices under our keys and lamps; prints what was seen.

One JSON object on standard output, a name for each thing tried; the host's test judges it.
"""

import json
import select
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import gpiozero
from evdev import UInput, ecodes

from appliance.hardware.gpiod_factory import GpiodFactory, find_chip
from appliance.hardware.keys.gpio import GpioKeys
from appliance.hardware.keys.input_devices import InputKeys
from appliance.hardware.keys.protocol import KeysTrouble
from appliance.hardware.lamps.gpio import GpioLamps
from appliance.settings import load

CONFIG = Path("/sys/kernel/config/gpio-sim/pi")
KEYS = {"forward": 5, "back": 6, "go": 13, "vary": 19, "note": 26}
LAMPS = {"ready": 17, "running": 27, "attention": 22}


def line(number: int) -> Path:
    """A simulated line's own folder."""
    names = [(CONFIG / name).read_text().strip() for name in ("dev_name", "b/chip_name")]
    return Path("/sys/devices/platform", *names, f"sim_gpio{number}")


def pull(number: int, up: bool) -> None:
    """Pull a line from outside."""
    (line(number) / "pull").write_text("pull-up" if up else "pull-down")


def level(number: int) -> int:
    """What is on a line."""
    return int((line(number) / "value").read_text())


def heard(keys: Any, count: int, seconds: float = 5.0) -> list[Any]:
    """At least so many edges, waiting for the source's file and nothing else; fewer if they do not come in time."""
    edges: list[Any] = []
    end = time.monotonic() + seconds
    while len(edges) < count and select.select([keys.fileno()], [], [], max(0.0, end - time.monotonic()))[0]:
        edges += keys.read(time.monotonic())
    return edges


def switches() -> int:
    """How often the kernel has switched to any thread of this process so far."""
    texts = [(task / "status").read_text() for task in Path("/proc/self/task").iterdir()]
    return sum(int(row.split()[1]) for text in texts for row in text.splitlines() if "ctxt_switches" in row)


def idle_switches(threaded: bool) -> int:
    """Context switches of a process that watches five keys for five seconds while nothing happens."""
    factory = GpiodFactory(threaded=threaded)
    keys = GpioKeys(KEYS, factory=factory)
    before = switches()
    select.select([keys.fileno()], [], [], 5.0)
    after = switches()
    keys.close()
    factory.close()
    return after - before


def presses(threaded: bool) -> dict[str, Any]:
    """A press and a release: what was told, and how far its stamps lie from when the line was pulled."""
    factory = GpiodFactory(threaded=threaded)
    keys = GpioKeys(KEYS, factory=factory)
    first = keys.read(time.monotonic())
    pulled, edges = [], []
    for up in (False, True):
        before = time.monotonic()
        pull(KEYS["go"], up)
        pulled.append((before, time.monotonic()))
        edges += heard(keys, 1)
    keys.close()
    factory.close()
    late = [[edge.at - before, edge.at - after] for edge, (before, after) in zip(edges, pulled, strict=False)]
    return {"first": first, "told": [(edge.key, edge.down) for edge in edges], "late": late}


def chatter() -> dict[str, Any]:
    """A burst of 301 changes before anyone reads: more than the kernel keeps."""
    factory = GpiodFactory(threaded=False)
    keys = GpioKeys(KEYS, factory=factory)
    for n in range(301):
        pull(KEYS["go"], n % 2 == 1)
    edges = heard(keys, 1)
    pull(KEYS["go"], True)
    keys.close()
    factory.close()
    return {"count": len(edges), "last": edges[-1].down}


def down_at_the_start() -> list[Any]:
    """A key held before the lines are requested. The request's pull-up lifts a simulated line, so it is an active-high
    key with no pull, held up from outside."""
    pull(KEYS["vary"], True)
    factory = GpiodFactory(threaded=False)
    keys = GpioKeys({"vary": KEYS["vary"]}, "none", "high", factory=factory)
    told = [(edge.key, edge.down) for edge in keys.read(time.monotonic())]
    keys.close()
    factory.close()
    return told


def lamps() -> list[Any]:
    """Levels on the lamps' lines, as set and after letting go."""
    factory = GpiodFactory(threaded=False)
    seen = []
    ours = GpioLamps(LAMPS, factory=factory)
    for lit in ((True, False, True), (False, True, True)):
        ours.set(*lit)
        seen.append([level(number) for number in LAMPS.values()])
    ours.close()
    seen.append([level(number) for number in LAMPS.values()])
    factory.close()
    return seen


def line_taken_twice() -> str:
    """A line that another open file has."""
    one, other = GpiodFactory(threaded=False), GpiodFactory(threaded=False)
    keys = GpioKeys({"go": KEYS["go"]}, factory=one)
    try:
        GpioKeys({"go": KEYS["go"]}, factory=other)
    except KeysTrouble as trouble:
        return str(trouble)
    finally:
        keys.close()
        one.close()
        other.close()
    return "no trouble"


def chip_pulled_out(threaded: bool) -> dict[str, Any]:
    """The chip goes while a key is down, and comes back."""
    factory = GpiodFactory(threaded=threaded)
    keys, ours = GpioKeys(KEYS, factory=factory), GpioLamps(LAMPS, factory=factory)
    pull(KEYS["go"], False)
    told = heard(keys, 1)
    (CONFIG / "live").write_text("0")
    told += heard(keys, 1)
    try:
        heard(keys, 1)
        trouble = "none"
    except KeysTrouble as error:
        trouble = str(error)
    ours.set(True, True, True)
    ours.close()
    keys.close()
    factory.close()
    (CONFIG / "live").write_text("1")
    subprocess.run(["udevadm", "settle"], check=True)
    again = presses(threaded)["told"]
    return {"told": [(e.key, e.down) for e in told], "trouble": trouble, "lost": ours._lost, "again": again}


def number_pad() -> dict[str, Any]:
    """A number pad plugged in while running, pressed, and pulled out with a key down."""
    keys = InputKeys(load().keys.devices.keys)
    fd = keys.fileno()
    assert fd is not None
    before = [name for name in keys.names() if name == "number pad"]
    pad = UInput({ecodes.EV_KEY: [ecodes.KEY_KP7, ecodes.KEY_KPENTER, ecodes.KEY_KPPLUS]}, name="number pad")
    end = time.monotonic() + 10
    while "number pad" not in keys.names() and time.monotonic() < end:
        select.select([fd], [], [], end - time.monotonic())
        keys.read(time.monotonic())
    told, late = [], []
    for code, value in ((ecodes.KEY_KP7, 1), (ecodes.KEY_KP7, 0), (ecodes.KEY_KPENTER, 1)):
        pressed = time.monotonic()
        pad.write(ecodes.EV_KEY, code, value)
        pad.syn()
        after = time.monotonic()
        edges = heard(keys, 1)
        told += edges
        late += [[edge.at - pressed, edge.at - after] for edge in edges]
    pad.close()
    told += heard(keys, 1)
    quiet = not select.select([fd], [], [], 0.5)[0] or keys.read(time.monotonic()) == []
    idle = switches()
    select.select([fd], [], [], 3.0)
    idle = switches() - idle
    keys.close()
    return {
        "before": before, "told": [(e.key, e.down) for e in told], "late": late, "quiet": quiet, "idle": idle,
    }  # fmt: skip


def main() -> None:
    """Try everything; a failure is told under the name of what failed."""
    import gpiod

    tries: dict[str, Callable[[], Any]] = {
        "versions": lambda: {"gpiozero": getattr(gpiozero, "__version__", "1"), "gpiod": gpiod.__version__},
        "chip": lambda: find_chip(gpiod),
        "presses": lambda: presses(False),
        "presses, threaded": lambda: presses(True),
        "chatter": chatter,
        "down at the start": down_at_the_start,
        "lamps": lamps,
        "taken twice": line_taken_twice,
        "idle": lambda: idle_switches(False),
        "idle, threaded": lambda: idle_switches(True),
        "pulled out": lambda: chip_pulled_out(False),
        "pulled out, threaded": lambda: chip_pulled_out(True),
        "number pad": number_pad,
    }
    seen: dict[str, Any] = {}
    for name, attempt in tries.items():
        try:
            seen[name] = attempt()
        except Exception as error:  # the host wants to see the other results too
            seen[name] = f"{type(error).__name__}: {error}"
    print(json.dumps(seen))


if __name__ == "__main__":
    main()
