"""A soak on the box: minutes of it by the card's own log, and the power cut at random moments."""

import json
import os
import random
from collections import Counter
from itertools import pairwise
from typing import Any

import pytest

from tests.machine.box.handle import QUICK, Box
from tests.machine.machine import Field

pytestmark = pytest.mark.machine

OWN = "/etc/fieldmouse/soaks/a-trial.yaml"  # its name goes before those that ship
RATE = 13_500_000 / 858 / 262  # fields a second of 240p
REPEATS = int(os.environ.get("FIELDMOUSE_SOAK_MINUTES", "2"))
"""Minutes of the soak: two, or as many as asked for (thirty is a whole trial)."""
CUTS = int(os.environ.get("FIELDMOUSE_CUTS", "5"))
"""How often the power is cut: five times, or as often as asked for (a hundred is a whole trial)."""

TRIAL = f"""
title: A trial
resume: false
presence: 0
looks: []
parts:
  - repeats: {REPEATS}
    phases:
      - {{pattern: pan, variant: slow, seconds: 40}}
      - {{pattern: white, variant: 75, seconds: 10}}
      - {{pattern: black, variant: 0, seconds: 10}}
    rest: 0
"""

_RECORDS = """
import json, sqlite3
from pathlib import Path
from appliance.records.store import Store
from appliance.records.surroundings import boot_id, wall_clock
check = sqlite3.connect("file:/var/lib/fieldmouse/records.sqlite?mode=ro", uri=True)
(sound,) = check.execute("PRAGMA integrity_check").fetchone()
check.close()
store = Store(Path("/var/lib/fieldmouse"), boot_id=boot_id(), wall=wall_clock)
store.open_to_read()
last = store.soak(store.soaks()[0].id)
print(json.dumps({"sound": sound, "how": last.how, "boot": boot_id(),
                  "events": [[e.kind, e.moment.boot, e.moment.at, e.elapsed, e.words] for e in last.events],
                  "beats": [[b.moment.boot, b.moment.at, b.elapsed] for b in last.beats]}))
"""


def _records(box: Box) -> dict[str, Any]:
    """The latest soak as it is kept, and SQLite's own check of the file."""
    found: dict[str, Any] = json.loads(box.machine.run(["python3", "-c", _RECORDS], timeout=60).out)
    assert found["sound"] == "ok"
    return found


def _start(box: Box) -> float:
    """The trial chosen by keys, its cautions read, and started by a held go; when the log says it was."""
    box.machine.write(OWN, TRIAL)
    box.start(QUICK)
    box.wait_picture("crosshatch:white")
    asked = box.choose(7)  # four routes, the last visits and the white stress stand before it
    for _ in range(5):  # the pages of its cautions: go turns them, and a held go before the last does nothing
        box.press("go", "go", "go", "go", "go")
        box.hold("go", seconds=1.5)
        if box.said("started: A trial", asked):
            return box.now()
    raise AssertionError("the soak did not start")


def test_minutes_of_a_soak(box: Box) -> None:
    """Phases by their exact fields, no field missed that the emulator was not late for, a heartbeat each minute."""
    begun, waited = _start(box), box.machine.kept_waiting()
    moved: list[Field] = []
    while not box.said("ended", begun):
        moved += [field for field in box.machine.fields() if field.pitch > 4 * 720 and field.stamp > begun]
        rested = box.now() + 20
        box.wait("a while", lambda until=rested: box.now() > until, every=1)  # type: ignore[misc] # bound early
        assert box.now() < begun + 60 * REPEATS + 200
    kept = _records(box)
    phases = [at for kind, _, at, _, _ in kept["events"] if kind == "phase"]
    for seconds, (a, b) in zip([40, 10, 10] * REPEATS, pairwise(phases), strict=False):
        print(f"phase of {seconds} s: {b - a:.3f} s")
    _check_fields({field.number: field for field in moved}, box.machine.kept_waiting() - waited)
    beats = [elapsed for _, _, elapsed in kept["beats"]]
    assert len(beats) >= REPEATS
    assert all(b - a < 75 for a, b in pairwise(beats))
    assert kept["events"][-1][3] == pytest.approx(60 * REPEATS, abs=0.1)


def _check_fields(fields: dict[int, Field], waited: float) -> None:
    """Of the movement: fields that stood although the emulator was in time for them and for the one before.

    What the host kept the emulator waiting, ``waited`` seconds, is no fault of the box: it may have cost fields.
    """
    steps = [(fields[number], fields[number + 1]) for number in fields if number + 1 in fields]
    stood = [(a, b) for a, b in steps if a.offset == b.offset and a.fb == b.fb]
    unexcused = [b for a, b in stood if not (a.late or b.late)]
    print(f"{len(steps)} fields moved, {len(stood)} stood, {len(unexcused)} of them without a stall of the emulator")
    print(f"the host kept the emulator waiting for {waited:.1f} s")
    assert len(steps) > 30 * RATE * REPEATS
    assert len(unexcused) <= 0.05 * len(steps) + RATE * waited


def test_power_cuts_at_random_moments(box: Box) -> None:
    """Each time: a picture, dim; records sound; the soak told as cut, no later than it was; a held go takes it up.

    A killed emulator keeps the host's page cache, so it is not this that proves the flushes: the replayed writes of
    tests/records/test_power_cuts.py do.
    """
    dice = random.Random(5)  # noqa: S311 - moments, not secrets
    going = _start(box)
    for cut in range(1, CUTS + 1):
        run = dice.uniform(0, 12)
        box.wait("the moment", lambda until=going + run: box.now() > until)  # type: ignore[misc] # bound early
        lived = box.now() - going + 1
        box.machine.cut_power()
        box.machine.boot()
        box.wait_ready(120)
        box.wait_said("(power cut)")
        box.wait("the lamp that calls", lambda: box.lit("attention"))
        ((light, often),) = Counter(box.machine.scanout().rows[::4]).most_common(1)
        assert light < 40  # of 255: dim, but for the words
        assert often > 0.8 * 720 * 240
        kept = _records(box)
        cuts = [elapsed for kind, _, _, elapsed, _ in kept["events"] if kind == "cut"]
        assert len(cuts) == cut
        before = cuts[-2] if cut > 1 else 0.0
        assert before <= cuts[-1] <= before + lived
        assert kept["how"] == ""
        box.hold("go", seconds=1.5)
        box.wait_said("resumed: after the power cut")
        going = box.now()
    box.machine.run(f"rm {OWN}")
