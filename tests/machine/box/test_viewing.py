"""A viewing on the box by its real keys: a whole one, and the power cut at random moments of others."""

import json
import os
import random
from typing import Any

import pytest

from tests.machine.box.handle import QUICK, Box, digest

pytestmark = pytest.mark.machine

CUTS = int(os.environ.get("FIELDMOUSE_VIEWING_CUTS", "5"))
"""How often the power is cut: five times, or as often as asked for (thirty is a whole trial)."""
FOLDER = "/var/lib/fieldmouse"

_VISIT = """
import json, sqlite3
from pathlib import Path
from appliance.records.store import Store
check = sqlite3.connect("file:/var/lib/fieldmouse/records.sqlite?mode=ro", uri=True)
(sound,) = check.execute("PRAGMA integrity_check").fetchone()
check.close()
store = Store(Path("/var/lib/fieldmouse"), boot_id="reader", wall=lambda: (0.0, False))
store.open_to_read()
visit = store.visits.one(1)
print(json.dumps({"sound": sound, "noted": [[f.step, f.kind] for f in visit.noted] if visit else [],
                  "steps": len(visit.steps) if visit else 0,
                  "how": visit.how if visit else None, "ended": bool(visit and visit.ended)}))
"""

_KEPT = """
import hashlib, sys
import numpy as np
from appliance import lettering
from appliance.patterns.catalogue import find_pattern
from appliance.routes import guide as find_guide
from appliance.video.formats import FORMATS
fmt, entry = FORMATS["240p"], find_pattern("grey:50")[0]
frame = entry.draw(fmt, "50").field(0, fmt.lines, fmt.samples)
guide = find_guide("glance")
for key in guide.route.steps[0].likely:
    for high in (False, True):
        words = (guide.kinds[key].name, "kept: plain, all over")
        shown = lettering.caption(np.ascontiguousarray(frame), fmt, words, high=high)
        print(key, hashlib.sha256(shown.tobytes()).hexdigest())
"""
"""The frames that tell a note of the first step as kept."""

_TITLES = (
    "import sys; from appliance.findings import load_findings; kinds = load_findings().kinds; "
    "print(*(kinds[name].name for name in sys.argv[1:]), sep='|')"
)


def _visit(box: Box) -> dict[str, Any]:
    """Visit 1 as it is on the disk, and SQLite's own check of the file; nothing of it before there are records."""
    done = box.machine.run(["python3", "-c", _VISIT], timeout=60)
    found: dict[str, Any] = json.loads(done.out) if done.code == 0 else {"sound": "ok", "noted": []}
    assert found["sound"] == "ok"
    return found


@pytest.fixture
def glance(box: Box) -> Box:
    """A box at the opening card of a glance, with no visit before it."""
    box.start(QUICK)
    box.wait_picture("crosshatch:white")
    asked = box.choose(2)  # stepping, a viewing, a glance
    box.wait_said("visit: glance", asked)
    return box


def _slowly(box: Box, *names: str) -> None:
    """Presses with time to read between them."""
    for name in names:
        pressed = box.press(name)[0]
        box.wait("a reader", lambda since=pressed: box.now() > since + 1.6)  # type: ignore[misc] # bound early


def test_a_whole_viewing(glance: Box) -> None:
    """A glance from its card to its end by keys alone: two notes, the white load, the colours; then its sheet."""
    box = glance
    box.press("go")
    box.wait_picture("grey:50")
    _slowly(box, "note", "forward", "go")
    box.wait("the first note", lambda: len(_visit(box)["noted"]) == 1, every=1)
    assert _visit(box)["noted"][0][0] == "set-off"
    _slowly(box, "go", "go", "go")
    box.wait_picture("crosshatch:white")  # the load and the three colours go on by themselves
    _slowly(box, "note", "go")
    box.wait("the second note", lambda: len(_visit(box)["noted"]) == 2, every=1)
    begun = box.now()
    while not _visit(box).get("ended"):
        _slowly(box, "go")
        assert box.now() < begun + 120
    every = _visit(box)["steps"]
    assert _visit(box)["how"] == f"{every} of {every} steps looked at"
    sheet = box.must(f"fieldmouse sheet 1 --state {FOLDER} -o /run/sheet.html; cat /run/sheet.html")
    tally = box.must(f"fieldmouse tally 1 --state {FOLDER}")
    for title in _titles(box):
        assert title in sheet
        assert title in tally


def _titles(box: Box) -> list[str]:
    """The titles of what was noted."""
    names = [kind for _, kind in _visit(box)["noted"]]
    return box.must(f'python3 -c "{_TITLES}" {" ".join(names)}').strip().split("|")


def test_power_cuts_at_random_moments(glance: Box) -> None:
    """Whatever was told as kept is there after the cut, the records are sound, and the visit is offered again.

    A killed emulator keeps the host's page cache; the replayed writes of tests/records/test_power_cuts.py prove the
    flushes.
    """
    box = glance
    dice = random.Random(6)  # noqa: S311 - moments, not secrets
    lines = [line.split() for line in box.machine.run(["python3", "-c", _KEPT], timeout=60).out.splitlines()]
    told = {frame: kind for kind, frame in lines}
    likely = list(dict.fromkeys(told.values()))[:4]  # plain ones of the set that is off: none is a danger
    box.press("go")
    box.wait_picture("grey:50")
    confirmed: list[str] = []
    for cut in range(CUTS):
        wanted = likely[cut % len(likely)]
        _slowly(box, "note", *["forward"] * likely.index(wanted))
        box.press("go")
        end = box.now() + dice.uniform(0, 4)
        seen = set()
        while box.now() < end:
            seen.add(digest(box.machine.scanout()))
        confirmed += {told[one] for one in seen & told.keys()}
        box.machine.cut_power()
        box.machine.boot()
        box.wait_ready(120)
        box.wait_said("visit 1: left open")
        kept = [kind for _, kind in _visit(box)["noted"]]
        assert set(confirmed) <= set(kept), (confirmed, kept)
        assert not set(kept) - set(likely[: cut + 1])
        _slowly(box, "go", "go")  # it is taken up: no step was left, so at its card, and on from there
        box.wait_picture("grey:50")
    print(f"{CUTS} cuts, {len(confirmed)} notes told as kept before one")
    assert confirmed
