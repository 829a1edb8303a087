"""``fieldmouse window`` as a person has it: a real window, its keyboard, the picture compared with ``draw``'s."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy
import pytest

from tests.hardware.screens.desktop import Desktop, missing

pytestmark = pytest.mark.skipif(bool(missing()), reason=f"not here: {', '.join(missing())}")


@pytest.fixture
def desktop(tmp_path: Path) -> Iterator[Desktop]:
    """An X server of its own."""
    with Desktop(tmp_path) as server:
        yield server


@pytest.fixture
def box(desktop: Desktop, tmp_path: Path) -> Iterator[subprocess.Popen[bytes]]:
    """The box in a window in 480i, remembering nothing from before."""
    environment = {**desktop.environment, "XDG_STATE_HOME": str(tmp_path / "state")}
    command = [sys.executable, "-m", "appliance", "window", "--format", "480i"]
    program = subprocess.Popen(command, env=environment, stderr=subprocess.DEVNULL)
    yield program
    program.kill()
    program.communicate()


def drawn(pattern: str, folder: Path) -> Any:
    """The frame of 480i that ``draw`` writes, ``uint32[480, 720]``."""
    file = folder / "frame.raw"
    command = [sys.executable, "-m", "appliance", "draw", pattern, "--format", "480i", "--raw", "-o", str(file)]
    subprocess.run(command, check=True)
    return numpy.fromfile(file, "<u4").reshape(480, 720)


def lines(words: Any, axis: int) -> Any:
    """The middles of the bright lines along an axis, each 0…1 of the picture's size, by their centre of brightness."""
    green = (words >> 8 & 255).astype(float)
    profile = numpy.quantile(green, 0.3, axis=axis)
    bright = numpy.flatnonzero(profile > 60)
    runs = numpy.split(bright, numpy.flatnonzero(numpy.diff(bright) > 1) + 1)
    return numpy.array([(numpy.average(run, weights=profile[run]) + 0.5) / len(profile) for run in runs])


def test_the_first_picture_is_the_one_drawn(desktop: Desktop, box: object, tmp_path: Path) -> None:
    """Every line of the crosshatch lies in the window where ``draw`` has it, to a pixel of the window."""
    window, frame = desktop.find_window(), drawn("crosshatch", tmp_path)

    def same() -> bool:
        seen = desktop.screenshot(window)
        found = [(lines(seen, axis), lines(frame, axis), seen.shape[1 - axis]) for axis in (0, 1)]
        return all(len(a) == len(b) > 5 and numpy.abs(a - b).max() * size < 1.0 for a, b, size in found)

    desktop.wait_until("the crosshatch without its caption", same, 30)


def test_keys_step_and_the_picture_follows(desktop: Desktop, box: object) -> None:
    """Left and right of the keyboard step through the patterns; a plain field fills the window to its edges."""
    window = desktop.find_window()
    desktop.wait_until("a picture", lambda: desktop.screenshot(window).any(), 30)
    desktop.focus(window)
    desktop.press("Left")  # from the crosshatch, the last of the fields is before it
    desktop.wait_until("grey to the edges", lambda: _plain(desktop.screenshot(window)[:200]), 30)
    desktop.press("Right")
    desktop.wait_until("the crosshatch again", lambda: not _plain(desktop.screenshot(window)[:200]), 30)


def _plain(words: Any) -> bool:
    return bool(words.min() == words.max() > 0)


def test_a_stop_ends_it_well(desktop: Desktop, box: subprocess.Popen[bytes]) -> None:
    """Asked to stop, the box closes its window and ends with 0."""
    window = desktop.find_window()
    desktop.wait_until("a picture", lambda: desktop.screenshot(window).any(), 30)
    box.terminate()
    assert box.wait(30) == 0
