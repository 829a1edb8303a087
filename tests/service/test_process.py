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

PATIENCE = 60
SETTINGS = "gpio:\n  factory: mock\nkeys:\n  devices:\n    use: false\n"


class Unit:
    """``run --screen memory`` with a socket for what it says to its supervisor."""

    def __init__(self, folder: Path, watchdog: str = "") -> None:
        (folder / "settings.yaml").write_text(SETTINGS)
        self._ear = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
        self._ear.bind(str(folder / "notify"))
        self._ear.settimeout(PATIENCE)
        environ = {**os.environ, "NOTIFY_SOCKET": str(folder / "notify"), "STATE_DIRECTORY": str(folder / "state")}
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
    assert "stopping" in said
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
