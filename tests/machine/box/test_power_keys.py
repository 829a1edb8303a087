"""Held keys, and nothing else, switch the power off."""

import pytest

from tests.machine.box.handle import QUICK, Box

pytestmark = pytest.mark.machine


def test_go_and_note_held_switch_off(box: Box) -> None:
    """Held for three seconds the machine ends by itself; then it starts where it was."""
    box.start(QUICK)
    box.press("vary")
    box.wait_remembered("240p", "NTSC", "crosshatch", "fine")
    box.drawn("crosshatch:fine", fmt="240p")
    box.hold("go", "note", seconds=3.3)
    box.machine.wait_off(120)
    assert not box.machine.running
    box.machine.boot()
    box.wait_ready(120)
    box.wait_picture("crosshatch:fine")
    assert any("shutting down" in line["message"] for line in box.machine.journal("fieldmouse.service", boot=-1))
