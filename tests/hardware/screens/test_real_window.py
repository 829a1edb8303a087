"""A real window on a real X server, its picture looked at and its keys pressed from outside."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.hardware.screens.desktop import Desktop, missing

PROGRAM = """
import time
from appliance.hardware.screens.window import WindowScreen
from appliance.hardware.screens.window_keys import WindowKeys
from tests.hardware.screens.contract import NTSC_480I
import numpy
screen = WindowScreen()
keys = WindowKeys(screen)
picture = numpy.zeros((480, 720), "<u4")
picture[:240, :360], picture[:240, 360:], picture[240:, :360] = 0xFF0000, 0x00FF00, 0x0000FF
screen.start(NTSC_480I, screen.surface(picture, 720, 480))
while not screen.closed:
    for edge in keys.read(time.monotonic()):
        print(edge.key, edge.down, flush=True)
    screen.read(time.monotonic())
    time.sleep(0.01)
"""


QUARTERS = [0xFF0000, 0x00FF00, 0x0000FF, 0x000000]


@pytest.mark.skipif(bool(missing()), reason=f"not here: {', '.join(missing())}")
def test_a_picture_and_keys_in_a_real_window(tmp_path: Path) -> None:
    """Quarters in four colours appear where they belong, and keys pressed from outside come as edges."""
    with Desktop(tmp_path) as desktop:
        command = [sys.executable, "-c", PROGRAM]
        program = subprocess.Popen(command, env=desktop.environment, stdout=subprocess.PIPE, text=True)
        try:
            window = desktop.find_window()
            desktop.wait_until("the picture", lambda: _quarters(desktop.screenshot(window)) == QUARTERS)
            seen = desktop.screenshot(window)
            assert seen.shape == (720, 985)
            assert (seen[:355, :485] == QUARTERS[0]).all()
            desktop.focus(window)
            desktop.press("Right", "Return", "KP_5")
            assert program.stdout is not None
            edges = [program.stdout.readline().split() for _ in range(6)]
            assert edges == [[key, down] for key in ("forward", "go", "5") for down in ("True", "False")]
        finally:
            program.kill()
            program.communicate()


def _quarters(seen: Any) -> list[int]:
    """The words in the middle of each quarter."""
    height, width = seen.shape
    return [int(seen[y * height // 4, x * width // 4]) for y in (1, 3) for x in (1, 3)]
