"""What the box costs and how soon it answers, in the machine: emulated, so ratios and fields count, not seconds.

Needs root and the host tools, as ``tests/machine/README.md`` says. About five minutes.
"""

import random
from collections.abc import Iterator
from statistics import median

from tests.benchmarks import other_pins
from tests.machine.box.handle import DOWN, KEPT, KEYS, QUICK, UNIT, Box, Event
from tests.machine.image import build
from tests.machine.machine import Machine

Row = tuple[str, str, str]

RATE = 13_500_000 / 858 / 262  # fields a second of 240p
PRESSES, BATCH = 300, 50
STILL = 60.0  # s
DROPIN = "/run/systemd/system/fieldmouse.service.d/other-pins.conf"

_BARE = """
import subprocess, sys, time
for n in range(9):
    begun = time.monotonic()
    subprocess.run([sys.executable, "-c", "pass"], check=True)
    print(time.monotonic() - begun)
"""


def rows() -> Iterator[Row]:
    """What, measured, goal; boots the machine twice."""
    with Machine(build()) as it:
        it.boot()
        box = Box(it)
        box.wait_ready(180)
        yield from _boot(box)
        yield from _start(box)
        yield from _keys(box)
        yield from _still(box)
        yield from _moving(box)


def first_flip(box: Box, since: float = 0.0) -> float:
    """The guest's time of the first field with a picture since a moment; the log holds the last minute."""
    return next(field.stamp for field in box.machine.fields() if field.fb and field.stamp > since)


def _boot(box: Box) -> Iterator[Row]:
    """A second boot, with the picture kept from the first; the guest's clock begins with its kernel."""
    box.machine.wait_for("the picture to be kept", lambda: box.machine.run(["test", "-e", KEPT]).code == 0)
    box.machine.run("sync")
    box.machine.cut_power()
    box.machine.boot()
    box.wait_ready(180)
    first = first_flip(box)
    units = ["basic.target", UNIT]
    box.machine.wait_for("basic.target", lambda: box.machine.ask("boot_times", units=units)["basic.target"], 120)
    basic = box.machine.ask("boot_times", units=units)["basic.target"]
    started = int(box.facts("ExecMainStartTimestampMonotonic")["ExecMainStartTimestampMonotonic"]) / 1e6
    yield "kernel start → first flip", f"{first:.2f} s", "—"
    yield "kernel start → service exec", f"{started:.2f} s", "—"
    yield "kernel start → first flip, over basic.target's time", f"{first / basic:.2f} of {basic:.2f} s", "< 1"


def _start(box: Box) -> Iterator[Row]:
    bare = median(float(line) for line in box.must(f"python3 -c '{_BARE}'").split())
    box.start(QUICK)
    box.wait_remembered("240p", "NTSC", "crosshatch", "white")
    taken = [_restart(box) for _ in range(5)]
    yield "bare Python start", f"{bare:.2f} s", "—"
    yield "service exec → first flip, over bare Python, median of 5", f"{median(taken) / bare:.1f} ×", "—"


def _restart(box: Box) -> float:
    box.start(QUICK, forget=False)
    began = int(box.facts("ExecMainStartTimestampMonotonic")["ExecMainStartTimestampMonotonic"]) / 1e6
    return first_flip(box, began) - began


def _keys(box: Box) -> Iterator[Row]:
    box.start(QUICK)
    box.wait_picture("crosshatch:white")
    waits: list[float] = []
    late = 0
    dice = random.Random(1)  # noqa: S311 - where in a field a key falls must be any, not secret
    while len(waits) < PRESSES:
        batch, lost = _batch(box, dice)
        waits, late = waits + batch, late + lost
    waits.sort()
    yield f"key edge → flip done, median of {len(waits)} presses", f"{median(waits):.2f} fields", "≤ 2 fields"
    yield "key edge → flip done, 99 %", f"{waits[int(0.99 * len(waits))]:.2f} fields", "≤ 4 fields"
    yield "key edge → flip done, worst", f"{waits[-1]:.2f} fields", "—"
    yield "of them, while the emulator itself came late for a field", f"{late} presses", "—"


def _batch(box: Box, dice: random.Random) -> tuple[list[float], int]:
    """forward and back in turn, fields from each edge to the first field of another picture; how many met a stall."""
    events: list[Event] = []
    at = 0.0
    for n in range(BATCH):
        line = KEYS["back" if n % 2 else "forward"]
        events += [(at, "down", line), (at + DOWN, "up", line)]
        at += 0.25 + dice.random() / RATE
    edges = [before for before, _ in box.machine.play(events)[::2]]
    fields = box.machine.fields()
    waits, late = [], 0
    for edge in edges:
        before = next(n for n, field in enumerate(fields) if field.stamp > edge) - 1
        changed = next(n for n in range(before + 1, len(fields)) if fields[n].fb != fields[before].fb)
        waits.append((fields[changed].stamp - edge) * RATE)
        late += any(field.late for field in fields[before : changed + 1])
    return waits, late


def _still(box: Box) -> Iterator[Row]:
    box.start(QUICK)
    box.wait_picture("crosshatch:white")
    box.wait_remembered("240p", "NTSC", "crosshatch", "white")
    yield from _rest(box, "ours")
    yield "resident memory, still picture", f"{_megabytes(box):.1f} MB", "≤ 40 MB"
    try:
        other_pins.put_in(box.machine)
    except other_pins.NotBuilt as why:
        yield "still picture, gpiozero's default (lgpio)", f"not measured: {why}", "—"
        return
    box.machine.write(DROPIN, f"[Service]\nEnvironment=PYTHONPATH={other_pins.FOLDER}\n")
    box.must("systemctl daemon-reload")
    box.start(f"{QUICK}gpio:\n  factory: lgpio\n")
    box.wait_picture("crosshatch:white")
    yield from _rest(box, "lgpio")
    box.must(f"rm {DROPIN}; systemctl daemon-reload")


def _rest(box: Box, name: str) -> Iterator[Row]:
    before, begun = box.machine.ask("cost", unit=UNIT), box.now()
    box.machine.wait_for("a minute", lambda: box.now() > begun + STILL, STILL + 60, every=1)
    after, ended = box.machine.ask("cost", unit=UNIT), box.now()
    wakes = (after["voluntary"] + after["other"] - before["voluntary"] - before["other"]) / (ended - begun)
    share = (after["cpu"] - before["cpu"]) / (ended - begun)
    goal = "< 5 a second" if name == "ours" else "—"
    yield f"still picture, {ended - begun:.0f} s, GPIO by {name}: wake-ups a second", f"{wakes:.2f}", goal
    yield f"still picture, GPIO by {name}: share of a processor", f"{100 * share:.3f} %", "—"


def _moving(box: Box) -> Iterator[Row]:
    box.start(QUICK)
    box.go_to("moving-crosshatch")
    box.set_moving()
    began = box.now()
    before = box.machine.ask("cost", unit=UNIT)
    box.machine.wait_for("half a minute", lambda: box.now() > began + 30, 90, every=1)
    after = box.machine.ask("cost", unit=UNIT)
    share = (after["cpu"] - before["cpu"]) / (box.now() - began)
    yield "moving picture: share of an emulated processor", f"{100 * share:.1f} %", "—"
    yield "resident memory, moving picture", f"{_megabytes(box):.1f} MB", "≤ 40 MB"
    box.press("go")
    (said,) = box.wait_said("moved for", began)
    yield "moving picture", said.partition("moved for ")[2], "—"


def _megabytes(box: Box) -> float:
    """Resident, in MB of 10⁶ bytes."""
    return float(box.machine.ask("cost", unit=UNIT)["resident"]) * 1024 / 1e6
