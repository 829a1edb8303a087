"""The service as systemd has it: a process that says it is ready, lives, and stops when told to."""

import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from time import monotonic

import pytest

from appliance.activities.soak_text import write_soak
from appliance.hardware.screens.memory import MemoryScreen
from appliance.records.store import Store
from appliance.records.surroundings import wall_clock
from appliance.service.early import Early
from appliance.service.first_light import KeptPicture, put_up, settings_mark, write_kept
from appliance.soaks import find_soak
from appliance.video.formats import FORMATS, find_mode
from tests.service.soaked import kept

PATIENCE = 60
SETTINGS = "gpio:\n  factory: mock\nkeys:\n  devices:\n    use: false\n"


class Unit:
    """``run --screen memory`` with a socket for what it says to its supervisor."""

    def __init__(self, folder: Path, watchdog: str = "", *, keep: bool = False) -> None:
        own = folder / "settings.yaml"
        own.write_text(SETTINGS)
        if keep:
            (folder / "state").mkdir()
            facts = {"format": "240p", "system": "NTSC", "pattern": "red", "variant": "100"}
            facts["settings"] = settings_mark(str(own))
            write_kept(str(folder / "state"), facts, find_mode(FORMATS["240p"], "NTSC"), bytes(4 * 720 * 240))
        self._ear = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
        self._ear.bind(str(folder / "notify"))
        self._ear.settimeout(PATIENCE)
        # Whatever this shell says, the log is held back in the program: a signal that breaks into it must do no harm.
        environ = {name: text for name, text in os.environ.items() if name != "PYTHONUNBUFFERED"}
        environ |= {"NOTIFY_SOCKET": str(folder / "notify"), "STATE_DIRECTORY": str(folder / "state")}
        if watchdog:
            environ |= {"WATCHDOG_USEC": watchdog}
        words = [sys.executable, "-m", "appliance", "run", "--screen", "memory"]
        self.process = subprocess.Popen(
            [*words, "--settings", str(folder / "settings.yaml")], env=environ, stderr=subprocess.PIPE, text=True
        )

    def hear(self) -> str:
        """The next thing said."""
        return self._ear.recv(1000).decode()

    def news(self) -> str:
        """The next thing said but signs of life."""
        return next(word for word in iter(self.hear, "") if word != "WATCHDOG=1")

    def end(self, number: signal.Signals) -> tuple[int, str]:
        """Send a signal; exit code and log."""
        self.process.send_signal(number)
        _, said = self.process.communicate(timeout=PATIENCE)
        return self.process.returncode, said

    def close(self) -> None:
        """Let go."""
        self.process.kill()
        self.process.communicate(timeout=PATIENCE)
        self._ear.close()


@pytest.fixture
def unit(tmp_path: Path) -> Iterator[Unit]:
    """One that runs."""
    made = Unit(tmp_path)
    yield made
    made.close()


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_ready_once_and_stopping_at_a_signal(unit: Unit, number: signal.Signals) -> None:
    """READY with the first picture, STOPPING on the way out, exit code 0, and no traceback."""
    assert unit.news() == "READY=1"
    code, said = unit.end(number)
    assert code == 0
    assert unit.news() == "STOPPING=1"
    assert f"{number.name}: stopped" in said
    assert "Traceback" not in said


def test_the_watchdog_is_petted_in_time(tmp_path: Path) -> None:
    """Twice in what systemd allows, on a still picture too."""
    unit = Unit(tmp_path, watchdog="400000")
    try:
        assert unit.news() == "READY=1"
        heard = [(unit.hear(), monotonic()) for _ in range(12)]
        assert {word for word, _ in heard} == {"WATCHDOG=1"}, "said ready once"
        assert heard[-1][1] - heard[0][1] < 11 * 0.4
    finally:
        unit.close()


def test_told_to_stop_while_it_still_imports_it_ends_in_black(tmp_path: Path) -> None:
    """READY comes with the kept picture, before the loop exists: a signal right then is obeyed all the same."""
    unit = Unit(tmp_path, keep=True)
    try:
        assert unit.news() == "READY=1"
        code, said = unit.end(signal.SIGTERM)
        assert code == 0
        assert "Traceback" not in said
    finally:
        unit.close()


def test_a_soak_left_open_is_taken_up_by_the_thread_and_left_in_order(tmp_path: Path) -> None:
    """The records are opened after the first picture, beside it; a signal ends them sound, and the log says how."""
    store = Store(tmp_path / "state", boot_id="before", wall=wall_clock)
    store.open()
    soak = find_soak("short")
    number = store.begin_soak(soak.name, soak.title, write_soak(soak), 1.0)
    store.heartbeat(number, 661.0, 600.0, 1)
    store.close()
    unit = Unit(tmp_path)
    try:
        assert unit.news() == "READY=1"
        assert unit.process.stderr is not None
        said = next(line for line in unit.process.stderr if "left open" in line)
        assert "at 600 s of 1800 (power cut)" in said
        code, _ = unit.end(signal.SIGTERM)
        assert code == 0
    finally:
        unit.close()
    assert [event.words for event in kept(tmp_path / "state").events] == [
        "power cut at 0:10 of 0:30", "the box was stopped",
    ]  # fmt: skip


def test_the_early_picture_ends_in_black(tmp_path: Path) -> None:
    """What goes up last is black, and the screen is let go after it."""
    rows = b"\x80" * (4 * 720 * 240)
    frames: list[bytes] = []
    screen = MemoryScreen(monotonic, on_flip=lambda *_: frames.append(screen.frame()))
    kept = KeptPicture({}, find_mode(FORMATS["240p"], "NTSC"), rows)
    Early(screen, kept, put_up(screen, kept)).end_in_black()
    assert frames == [rows, bytes(len(rows))]
    assert screen.up is None
