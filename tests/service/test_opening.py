"""The list of activities is read when it is asked for, in the backroom, and weighs nothing before."""

import subprocess
import sys
from pathlib import Path

import pytest

from appliance.activities.box import State
from appliance.activities.troubles import Trouble
from appliance.service.menu import Menu
from tests.service.soaked import Powered

HEAVY = (
    "sqlite3", "difflib", "asyncio", "jinja2", "segno", "appliance.routes", "appliance.findings", "appliance.verdict",
    "appliance.soaks", "appliance.records.store", "appliance.activities.viewing", "appliance.activities.soaking",
)  # fmt: skip

STEPPING = f"""
import sys, time
from appliance.hardware.keys.memory import MemoryKeys
from appliance.hardware.lamps.memory import MemoryLamps
from appliance.hardware.screens.memory import MemoryScreen
from appliance.hardware.sound.memory import MemorySound
from appliance.service.assemble import Hardware, Memory, assemble
from appliance.service.scribe import Archive
from appliance.service.waiter import SimulatedWaiter
from appliance.settings import load
from pathlib import Path
waiter, keys = SimulatedWaiter(0.0), MemoryKeys()
hardware = Hardware(lambda: MemoryScreen(waiter.clock), (("keys", lambda: keys),), MemoryLamps, MemorySound)
archive = Archive(Path(sys.argv[1]), "boot", threaded=False)
service = assemble(load(), hardware, Memory(None, "", archive), waiter)
for n in range(5):
    keys.press("forward", 1.0 + n, 0.1)
service.run(until=90.0)
print(service.box.place().pattern, *[name for name in {HEAVY} if name in sys.modules])
"""


def test_stepping_brings_nothing_heavy_in(tmp_path: Path) -> None:
    """A box that was only stepped on has imported no database, no route and no rule, and made no file."""
    words = [sys.executable, "-c", STEPPING, str(tmp_path)]
    done = subprocess.run(words, capture_output=True, text=True, check=True, timeout=60)
    pattern, *heavy = done.stdout.split()
    assert pattern != "crosshatch"
    assert heavy == []
    assert list(tmp_path.iterdir()) == []


class Slow:
    """A menu that is read when the test lets it be."""

    def __init__(self, box: Powered) -> None:
        self.jobs = list[object]()
        self._box, self._room = box, box.service._room
        self._do = self._room.do
        box.service._room.do = self.jobs.append  # type: ignore[method-assign,assignment] # the backroom takes its time

    def come(self) -> None:
        """It is read."""
        self._room.do = self._do  # type: ignore[method-assign] # as it was
        for job in self.jobs:
            self._room.do(job)  # type: ignore[arg-type] # what was put there
        self._box.run(0.1)


def test_presses_before_the_list_is_there_count(tmp_path: Path) -> None:
    """It says that it is being read; go takes nothing meanwhile; forward twice is the third entry once it is there."""
    box = Powered(tmp_path).run(1)
    slow = Slow(box)
    box.press("go", 1.2)
    assert box.words == "What to do: one moment,\nthe list is being read"
    for key in ("forward", "go", "forward"):
        box.press(key)
    assert box.service.box.state is State.CHOOSING
    assert len(slow.jobs) == 1
    slow.come()
    assert box.words.splitlines()[0] == "Choose: A glance"


def test_note_leaves_the_list_that_is_not_there_yet(tmp_path: Path) -> None:
    """The picture is back, and when the list comes it comes to nobody; the next held go shows it at once."""
    box = Powered(tmp_path).run(1)
    slow = Slow(box)
    box.press("go", 1.2)
    box.press("note")
    slow.come()
    assert box.service.box.state is State.STEPPING
    box.press("go", 1.2)
    assert box.words.splitlines()[0] == "Choose: Stepping"


def test_a_fault_in_reading_leaves_stepping_and_the_stress(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    """Nobody waits for ever for a list that cannot be read."""
    box = Powered(tmp_path).run(1)

    def fails() -> Menu:
        raise RuntimeError("rubbish")

    box.service._opening._read = fails
    box.press("go", 1.2)
    assert box.words.splitlines()[0] == "Choose: Stepping"
    assert [activity.title for activity in box.service.box.activities] == ["Stepping", "White stress"]
    assert "rubbish" in caplog.text
    box.press("note")
    box.run(2)
    assert box.words == "The list cannot be read:\ninstall fieldmouse anew"
    assert box.service.box.troubles == {Trouble.SETTINGS}
