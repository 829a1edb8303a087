"""What systemd hears, against the words of sd_notify(3) and sd_watchdog_enabled(3)."""

import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

from appliance.hardware.supervisor import ALIVE, READY, ask_poweroff, notify, watchdog_interval


@pytest.fixture(params=["named", "abstract"])
def listener(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[tuple[socket.socket, str]]:
    """A supervisor's socket and the value of NOTIFY_SOCKET that leads to it."""
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as listening:
        name = str(tmp_path / "notify")
        listening.bind(name if request.param == "named" else "\0" + name)
        listening.settimeout(5)
        yield listening, name if request.param == "named" else "@" + name


def test_notify(listener: tuple[socket.socket, str]) -> None:
    """Ready and alive arrive as one datagram, at a named and at an abstract address."""
    listening, address = listener
    assert notify(READY, ALIVE, environ={"NOTIFY_SOCKET": address})
    assert listening.recv(100) == b"READY=1\nWATCHDOG=1"


@pytest.mark.parametrize("address", ["", "relative", "vsock:2:1"])
def test_nobody_listens(address: str) -> None:
    """Without a supervisor, or with an address of a kind we do not speak to, nothing is said."""
    assert not notify(READY, environ={"NOTIFY_SOCKET": address})


def test_supervisor_gone(tmp_path: Path) -> None:
    """A socket that is not there any more is no reason to fall."""
    assert not notify(READY, environ={"NOTIFY_SOCKET": str(tmp_path / "gone")})
    assert not notify(READY, environ={"NOTIFY_SOCKET": "/" + "x" * 300})


def test_supervisor_deaf(listener: tuple[socket.socket, str]) -> None:
    """A supervisor that never reads cannot hold the box up: once its queue is full the message is dropped."""
    _, address = listener
    assert not all(notify(ALIVE, environ={"NOTIFY_SOCKET": address}) for _ in range(5000))


@pytest.mark.parametrize(
    ("environ", "interval"),
    [
        ({"WATCHDOG_USEC": "30000000"}, 15.0),
        ({"WATCHDOG_USEC": "30000000", "WATCHDOG_PID": "77"}, 15.0),
        ({"WATCHDOG_USEC": "30000000", "WATCHDOG_PID": "78"}, None),
        ({"WATCHDOG_USEC": "0"}, None),
        ({"WATCHDOG_USEC": "soon"}, None),
        ({}, None),
    ],
)
def test_watchdog_interval(environ: dict[str, str], interval: float | None) -> None:
    """Half the time allowed, as the manual page recommends; none when the request is not for this process."""
    assert watchdog_interval(environ, pid=77) == interval


def test_ask_poweroff(tmp_path: Path) -> None:
    """The request is a file that the path unit waits for, and may be made twice."""
    ask_poweroff(tmp_path)
    ask_poweroff(str(tmp_path))
    assert [path.name for path in tmp_path.iterdir()] == ["poweroff"]


def test_poweroff_not_possible(tmp_path: Path) -> None:
    """A run folder that is not there is told, not swallowed."""
    with pytest.raises(OSError, match="gone"):
        ask_poweroff(tmp_path / "gone")
