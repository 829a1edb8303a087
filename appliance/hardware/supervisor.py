"""What the box says to systemd, which started it: ready, alive, stopping; and the request to switch the box off.

The protocol is sd_notify(3): a datagram of ``NAME=value`` lines to the socket that ``NOTIFY_SOCKET`` names. Imported
on the way to the first picture, so ``socket`` is imported only when there is somebody to tell.
"""

import os

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Mapping

READY, ALIVE, STOPPING = "READY=1", "WATCHDOG=1", "STOPPING=1"
"""Messages of sd_notify(3)."""

REQUEST = "poweroff"
"""The file in the run folder that fieldmouse-poweroff.path waits for."""


def notify(*messages: str, environ: "Mapping[str, str]" = os.environ) -> bool:
    """Tell systemd; False when nobody listens. Never raises: a box without a supervisor still shows its picture."""
    address = environ.get("NOTIFY_SOCKET", "")
    if not address.startswith(("/", "@")):
        return False
    import socket

    place = "\0" + address[1:] if address.startswith("@") else address  # @: the abstract name space of unix(7)
    try:
        with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM | socket.SOCK_CLOEXEC) as sender:
            sender.setblocking(False)  # a supervisor that does not read must not hold up a field
            sender.sendto("\n".join(messages).encode(), place)
    except OSError:
        return False
    return True


def watchdog_interval(environ: "Mapping[str, str]" = os.environ, pid: "int | None" = None) -> "float | None":
    """Seconds from one :data:`ALIVE` to the next, half of what systemd allows; None when it does not ask for any.

    ``WATCHDOG_USEC`` counts only for the process that ``WATCHDOG_PID`` names (sd_watchdog_enabled(3)).
    """
    allowed, wanted = environ.get("WATCHDOG_USEC", ""), environ.get("WATCHDOG_PID", "")
    if not (allowed.isdecimal() and int(allowed)) or wanted not in ("", str(pid or os.getpid())):
        return None
    return int(allowed) / 2_000_000


def ask_poweroff(run_folder: "str | os.PathLike[str]") -> None:
    """Ask root, through fieldmouse-poweroff.path, to switch the box off.

    Raises ``OSError`` when the request cannot be made; then nothing will switch the box off.
    """
    with open(os.path.join(run_folder, REQUEST), "w"):  # noqa: PTH118, PTH123 - pathlib is kept off the way to the first picture
        pass
