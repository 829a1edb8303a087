"""Keys and lamps on a real kernel: simulated GPIO lines, a real input layer, gpiod and gpiozero as Debian has them."""

import io
import json
import tarfile
from pathlib import Path
from typing import Any

import pytest

from tests.machine.machine import Machine

pytestmark = pytest.mark.machine

CHECKOUT = Path(__file__).parents[2]
PARTS = ("appliance", "config")


def packed() -> bytes:
    """The checkout's program and what tries its lines and keys, as a tar."""
    file = io.BytesIO()
    with tarfile.open(fileobj=file, mode="w:gz") as tar:
        for part in PARTS:
            tar.add(CHECKOUT / part, f"try/{part}")
        tar.add(CHECKOUT / "tests/hardware/on_the_machine.py", "try/on_the_machine.py")
    return file.getvalue()


@pytest.fixture(scope="module")
def seen(_machine: Machine) -> Any:
    """What the program saw in the guest, the product being stopped: it would hold the lines."""
    if not _machine.running:
        _machine.boot()
    _machine.run("systemctl stop fieldmouse.service; udevadm settle")
    _machine.write("/run/try.tar.gz", packed())
    ran = _machine.run(
        "cd /run && tar xzf try.tar.gz && cd try && PYTHONPATH=. python3 on_the_machine.py",
        timeout=240,
    )
    _machine.run("rm -rf /run/try /run/try.tar.gz; systemctl start fieldmouse.service")
    assert ran.code == 0, ran.err
    print(ran.out, ran.err)  # the figures, with pytest -s
    return json.loads(ran.out)


@pytest.mark.parametrize("how", ["presses", "presses, threaded"])
def test_press_and_release(seen: Any, how: str) -> None:
    """A line pulled down and up is told so, stamped by the kernel when it was pulled (within 50 ms here)."""
    assert seen[how]["first"] == []
    assert seen[how]["told"] == [["go", True], ["go", False]]
    assert all(since >= 0 and after < 0.05 for since, after in seen[how]["late"])


def test_the_headers_chip_is_found(seen: Any) -> None:
    """By its label, on whatever number it has."""
    assert seen["chip"].startswith("/dev/gpiochip")


def test_burst_beyond_the_kernels_buffer(seen: Any) -> None:
    """The kernel drops edges of a burst nobody reads, and the last one told is still right."""
    assert seen["chatter"]["last"] is True
    assert 1 <= seen["chatter"]["count"] < 301


def test_key_down_at_the_start(seen: Any) -> None:
    """Told first."""
    assert seen["down at the start"] == [["vary", True]]


def test_lamps(seen: Any) -> None:
    """The lines have the levels set, and are dark after letting go."""
    assert seen["lamps"] == [[1, 0, 1], [0, 1, 1], [0, 0, 0]]


def test_line_of_another_program(seen: Any) -> None:
    """Trouble that names key, pin and reason."""
    assert seen["taken twice"] == "key go on GPIO13: [Errno 16] Device or resource busy"


@pytest.mark.parametrize("how", ["idle", "idle, threaded"])
def test_no_wake_up_while_nothing_happens(seen: Any, how: str) -> None:
    """Five keys watched for five seconds: the one wait of the measurement itself, and switches the emulator forces.

    A back-end that polls each half millisecond makes ten thousand."""
    assert seen[how] <= 10


@pytest.mark.parametrize("how", ["pulled out", "pulled out, threaded"])
def test_chip_pulled_out(seen: Any, how: str) -> None:
    """The held key goes up, trouble follows, lamps stop nothing, and a new factory on the returned chip works."""
    assert seen[how]["told"] == [["go", True], ["go", False]]
    assert "gone" in seen[how]["trouble"]
    assert seen[how]["lost"] is True
    assert seen[how]["again"] == [["go", True], ["go", False]]


def test_number_pad(seen: Any) -> None:
    """Plugged in while running it is taken; 7 is zone 1; times are the kernel's; pulled out, the held key goes up."""
    pad = seen["number pad"]
    assert pad["before"] == []
    assert pad["told"] == [["1", True], ["1", False], ["go", True], ["go", False]]
    assert all(since >= 0 and after < 0.05 for since, after in pad["late"])
    assert pad["quiet"] is True
    assert pad["idle"] <= 10
