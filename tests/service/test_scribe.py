"""The scribe at a start: what was left open is found whatever the disk does first, and belongs to whom it should."""

import os
import sqlite3
from pathlib import Path

import pytest

from appliance.activities.box import State as Box
from appliance.activities.soaking import State
from appliance.activities.troubles import Trouble
from tests.service.soaked import Powered, kept
from tests.service.test_troubles import Disk


def cut_soak(folder: Path) -> None:
    """A soak of half an hour, the power cut a few minutes into it."""
    Powered(folder, blinks=False).begin("short").run(300).cut()


def test_a_soak_left_open_is_found_once_the_disk_is_well(tmp_path: Path) -> None:
    """The records cannot be opened at the first try: a minute later they can, and the soak is offered then."""
    cut_soak(tmp_path)
    disk = Disk()
    disk.code = sqlite3.SQLITE_IOERR
    box = Powered(tmp_path, "second", blinks=False, connect=disk).run(5)
    assert box.service.box.state is Box.STEPPING
    assert box.service.box.troubles == {Trouble.KEEPING}
    disk.code = 0
    box.run(70)
    assert box.soaking.state is State.CUT
    assert box.service.box.troubles == set()


def test_a_disk_that_cannot_even_be_asked_stops_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whether there are records is asked in the backroom: an error of the card there is a trouble, not an end."""
    real = os.stat

    def failing(path: object, *words: object, **more: object) -> os.stat_result:
        if str(path).endswith("records.sqlite"):
            raise OSError(5, "Input/output error", str(path))
        return real(path, *words, **more)  # type: ignore[arg-type] # handed on as it came

    monkeypatch.setattr(os, "stat", failing)
    box = Powered(tmp_path, blinks=False).run(5)
    assert box.service.box.troubles == {Trouble.KEEPING}
    assert box.service.box.state is Box.STEPPING


def test_a_soak_taken_up_goes_on_in_its_own_records(tmp_path: Path) -> None:
    """They are its own from the moment it is taken up, the words of the cut included."""
    cut_soak(tmp_path)
    box = Powered(tmp_path, "second", blinks=False).run(2)
    assert box.soaking.state is State.CUT
    box.press("go", 1.5)
    box.run(400).stop()
    record = kept(tmp_path)
    assert record.id == 1
    assert [event.kind for event in record.events if event.kind in ("cut", "resumed")] == ["cut", "resumed"]
