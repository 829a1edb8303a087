"""The machine as a test sees it: boot, ask, cut its power, boot again. One runs at a time."""

import json
import os
import select
import signal
import socket
import subprocess
import time
import zlib
from base64 import b64decode, b64encode
from collections.abc import Callable, Iterable
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Self, TypeVar

from tests.machine import cache
from tests.machine.image import Built
from tests.machine.steps import MachineTrouble, say, step

T = TypeVar("T")

BLACKLIST = "powernow_k8,acpi_cpufreq,pcspkr,i2c_i801,parport_pc,joydev,mousedev,evbug"
"""Modules of a personal computer that the device manager would load at each boot for nothing."""

NICE = "-10"
"""What is timed inside the guest should not wait for whatever else the host does."""

ONE_THEN_TWO = "maxcpus=1 oops=panic panic=-1"
"""On the kernel's line: one processor until our initial RAM disk starts the second, and an oops ends the guest."""

TORN = "Oops: int3"
"""How the kernel ends when the emulator shows one processor what another is patching: about one start in a hundred."""

CACHE = "unsafe"
"""QEMU does not wait for the host's disk. A guest that is killed keeps what it wrote, in the host's page cache, either
way; so a flush that is lacking is not found here but by tests/records/test_power_cuts.py, and a slow disk of the host
costs nothing."""

GUESTS = int(os.environ.get("FIELDMOUSE_MACHINE_GUESTS", "1"))
"""How many guests may run at the same time on this host; each can keep two processors busy."""

MASKED = (
    "systemd-binfmt.service", "proc-sys-fs-binfmt_misc.automount", "dev-hugepages.mount", "dev-mqueue.mount",
    "sys-kernel-tracing.mount", "sys-fs-fuse-connections.mount", "modprobe@fuse.service", "modprobe@efi_pstore.service",
    "systemd-random-seed.service", "systemd-udev-load-credentials.service", "serial-getty@ttyS0.service",
    "apt-daily.timer", "apt-daily-upgrade.timer", "dpkg-db-backup.timer", "fstrim.timer",
)  # fmt: skip
"""Units a Pi's start does not need either; nothing is here that the product orders itself by."""


class GuestTrouble(MachineTrouble):
    """The guest's helper could not do what it was asked; ``errno`` is the kernel's code where there was one."""

    def __init__(self, text: str, errno: int | None) -> None:
        super().__init__(text)
        self.errno = errno


@dataclass(frozen=True)
class Ran:
    """A command that was run in the guest; ``code`` is None when it was ended for taking too long."""

    code: int | None
    out: str
    err: str


@dataclass(frozen=True)
class Scanout:
    """What is being scanned out: ``rows`` holds the window shown, 4 bytes a sample, row by row (empty: not read)."""

    modeline: tuple[int, ...]
    tv_mode: str
    fb: int
    size: tuple[int, int]
    at: tuple[int, int]
    rows: bytes


@dataclass(frozen=True)
class Field:
    """One field of the card's log: its number since the mode was set, when it began, and what was latched for it.

    ``late``: the emulator came too late for this field, so a flip waiting then could not be latched.
    """

    number: int
    stamp: float
    fb: int
    offset: int
    pitch: int
    x: int
    y: int
    late: bool


class Machine:
    """A guest on a disk of its own, gone when the ``with`` block ends.

    Questions raise :class:`GuestTrouble` when the guest could not, :class:`MachineTrouble` when it does not answer.
    """

    def __init__(self, built: Built, kernel_line: str = "") -> None:
        self.built, self.kernel_line = built, kernel_line
        self._stack = ExitStack()
        self._qemu: subprocess.Popen[bytes] | None = None
        self._socket: socket.socket | None = None
        self._rest, self._answers, self._asked = b"", {}, 0  # type: tuple[bytes, dict[int, dict[str, Any]], int]

    def __enter__(self) -> Self:
        self.folder = self._stack.enter_context(cache.own_folder())
        self.disk, self._console = self.folder / "disk.ext4", self.folder / "console.log"
        self._keep_built()
        self._stack.enter_context(cache.locked("guest", "another guest is running, waiting for its end", GUESTS))
        self.reset_disk()
        return self

    def _keep_built(self) -> None:
        """Names of our own for the built files: others may build, and the cache forget these, while we wait."""
        kept = {name: self.folder / f"built-{name}" for name in ("vmlinux", "initrd", "disk")}
        for name, path in kept.items():
            os.link(getattr(self.built, name), path)
        self.built = Built(**kept)

    def __exit__(self, *_: object) -> None:
        self.cut_power()
        self._stack.close()

    # power

    def reset_disk(self) -> None:
        """A fresh copy of the built disk, as never booted."""
        subprocess.run(["cp", "--sparse=always", "--reflink=auto", self.built.disk, self.disk], check=True)

    def boot(self, kernel_line: str | None = None, timeout: float = 120) -> None:
        """Switch on and wait for the helper; ``kernel_line`` is for this boot in place of the machine's own."""
        line = self.kernel_line if kernel_line is None else kernel_line
        for last in (False, False, True):
            try:
                with step("boot until the helper answers"):
                    self._start(line)
                    self._connect(timeout)
                    self.ask("now", timeout)
                    return
            except MachineTrouble:
                if last or TORN not in self._console.read_text(errors="replace"):
                    raise
                self.cut_power()
                say("the emulator tore code that the kernel was patching; switched on once more")

    def _start(self, line: str) -> None:
        masks = " ".join(f"systemd.mask={unit}" for unit in MASKED)
        self._port = self.folder / "port"
        self._port.unlink(missing_ok=True)
        command = [
            "nice", "-n", NICE, "qemu-system-x86_64",
            "-accel", "tcg,thread=multi", "-machine", "q35,i8042=off,sata=off,smbus=off", "-cpu", "max,svm=off",
            "-smp", "2", "-m", "1024",
            "-nodefaults", "-no-user-config", "-display", "none", "-vga", "none", "-no-reboot",
            "-kernel", self.built.vmlinux, "-initrd", self.built.initrd,
            "-append", f"console=ttyS0 quiet {ONE_THEN_TWO} modprobe.blacklist={BLACKLIST} {masks} {line}",
            "-serial", f"file:{self._console}",
            "-drive", f"id=d,file={self.disk},format=raw,if=none,cache={CACHE}", "-device", "virtio-blk-pci,drive=d",
            "-device", "virtio-serial-pci", "-chardev", f"socket,id=c,path={self._port},server=on,wait=off",
            "-device", "virtserialport,chardev=c,name=helper",
        ]  # fmt: skip
        self._log = (self.folder / "qemu.log").open("wb")
        words, log = [str(word) for word in command], self._log
        self._qemu = subprocess.Popen(words, stdin=subprocess.DEVNULL, stdout=log, stderr=log)
        self._rest, self._answers = b"", {}

    def _connect(self, timeout: float) -> None:
        self._socket = socket.socket(socket.AF_UNIX)
        end = time.monotonic() + timeout
        while True:
            try:
                return self._socket.connect(str(self._port))
            except OSError:
                self._check_alive()
                if time.monotonic() > end:
                    raise MachineTrouble("QEMU did not open its port") from None
                time.sleep(0.05)

    def _check_alive(self) -> None:
        if self._qemu is None or self._qemu.poll() is not None:
            raise MachineTrouble(f"the guest is off\n{self.last_words()}")

    def last_words(self) -> str:
        """The end of QEMU's own log and of the guest's console."""
        logs = [self.folder / "qemu.log", self._console]
        return "\n".join(p.read_text(errors="replace")[-2000:] for p in logs if p.exists())

    @property
    def running(self) -> bool:
        """Whether the guest is on."""
        return self._qemu is not None and self._qemu.poll() is None

    def kept_waiting(self) -> float:
        """Seconds that the host has kept QEMU's threads waiting for a processor, since it was switched on.

        The second figure of the kernel's ``schedstat`` of each thread (Documentation/scheduler/sched-stats).
        """
        assert self._qemu is not None
        tasks = Path("/proc", str(self._qemu.pid), "task").glob("*/schedstat")
        return sum(int(task.read_text().split()[1]) for task in tasks) / 1e9

    def cut_power(self) -> None:
        """As pulling the plug: what the guest has not handed to its disk is gone."""
        if self._qemu is not None:
            self._qemu.send_signal(signal.SIGKILL)
            self._ended(30)

    def poweroff(self, timeout: float = 60) -> None:
        """Shut down in good order."""
        # The helper may be gone before it has answered.
        self.begin("run", command="systemctl poweroff --no-block")
        self.wait_off(timeout)

    def wait_off(self, timeout: float = 60) -> None:
        """Wait until the guest has switched itself off; raises :class:`MachineTrouble` when it stays on."""
        try:
            self._ended(timeout)
        except subprocess.TimeoutExpired:
            raise MachineTrouble(f"still on after {timeout} s\n{self.last_words()}") from None

    def _ended(self, timeout: float) -> None:
        if self._qemu is None:
            return
        self._qemu.wait(timeout)
        self._qemu = None
        self._log.close()
        if self._socket:
            self._socket.close()

    # questions

    def ask(self, word: str, within: float = 60, **args: Any) -> Any:
        """Ask the guest's helper and wait for its answer."""
        return self.begin(word, **args)(within)

    def begin(self, word: str, **args: Any) -> Callable[[float], Any]:
        """Ask without waiting; call what comes back with a number of seconds to have the answer."""
        self._check_alive()
        assert self._socket is not None
        self._asked += 1
        number = self._asked
        self._socket.settimeout(60)
        self._socket.sendall(json.dumps({"id": number, "word": word, "args": args}).encode() + b"\n")
        return lambda timeout: self._answer(number, word, timeout)

    def _answer(self, number: int, word: str, timeout: float) -> Any:
        end = time.monotonic() + timeout
        while number not in self._answers:
            self._listen(end, f"no answer to {word!r} within {timeout} s")
        found = self._answers.pop(number)
        if "trouble" in found:
            raise GuestTrouble(f"{word}: {found['trouble']}", found["errno"])
        return found["answer"]

    def _listen(self, end: float, complaint: str) -> None:
        assert self._socket is not None
        left = end - time.monotonic()
        if left <= 0 or not select.select([self._socket], [], [], min(left, 1))[0]:
            self._check_alive()
            if left <= 0:
                raise MachineTrouble(f"{complaint}\n{self.last_words()}")
            return
        data = self._socket.recv(1 << 16)
        if not data:
            with suppress(MachineTrouble):
                self.wait_off(5)
            raise MachineTrouble(f"the port closed\n{self.last_words()}")
        *lines, self._rest = (self._rest + data).split(b"\n")
        for line in lines:
            found = json.loads(line)
            self._answers[found["id"]] = found

    def wait_for(self, what: str, look: Callable[[], T], timeout: float = 30, every: float = 0.2) -> T:
        """What ``look`` gives once it is true; raises :class:`MachineTrouble` naming ``what`` and what it saw."""
        end = time.monotonic() + timeout
        while not (seen := look()):
            if time.monotonic() > end:
                raise MachineTrouble(f"waited {timeout} s for {what}; last seen: {seen!r}")
            time.sleep(every)
        return seen

    # words

    def run(self, command: str | list[str], timeout: float = 60, user: str | None = None) -> Ran:
        """Run a command, a shell's when it is one text."""
        return Ran(**self.ask("run", timeout + 30, command=command, timeout=float(timeout), user=user))

    def read(self, path: str) -> bytes:
        """A file of the guest."""
        return b64decode(self.ask("read", path=path))

    def write(self, path: str, data: bytes | str, mode: int = 0o644) -> None:
        """Write a file of the guest, its folder too."""
        raw = data.encode() if isinstance(data, str) else data
        self.ask("write", path=path, data=b64encode(raw).decode(), mode=mode)

    def scanout(self, pixels: bool = True) -> Scanout:
        """What is being scanned out now."""
        found = self.ask("scanout", pixels=pixels)
        rows = zlib.decompress(b64decode(found["rows"])) if "rows" in found else b""
        size = (found.get("width", 0), found.get("height", 0))
        return Scanout(tuple(found["modeline"]), found["tv_mode"], found["fb"], size, (found["x"], found["y"]), rows)

    def fields(self) -> list[Field]:
        """The last 4096 fields at most, oldest first; stamps in seconds of the guest's monotonic clock."""
        return [Field(n, ns / 1e9, fb, o, p, x, y, bool(late)) for n, ns, fb, o, p, x, y, late in self.ask("fields")]

    def play(self, events: Iterable[tuple[float, str, int | str]], timeout: float = 120) -> list[list[float]]:
        """Play (seconds, ``down`` or ``up``, GPIO number or pad key) inside the guest; both stamps of each."""
        found: list[list[float]] = self.ask("play", timeout, events=list(events))
        return found

    def journal(self, unit: str | None = None, boot: int = 0) -> list[dict[str, Any]]:
        """The journal's entries of this boot (0) or an earlier one (-1 …)."""
        found: list[dict[str, Any]] = self.ask("journal", unit=unit, boot=boot)
        return found

    def lamp(self, line: int) -> bool:
        """Whether a lamp's line is driven high."""
        return bool(self.ask("lamp", line=line))
