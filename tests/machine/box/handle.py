"""The box in the machine, as a test handles it: keys and lamps by name, pictures by the name they are drawn under."""

import hashlib
import json
from collections.abc import Callable, Iterable
from itertools import pairwise
from typing import NamedTuple, TypeVar

from tests.machine.machine import Field, GuestTrouble, Machine, Scanout

T = TypeVar("T")

UNIT = "fieldmouse.service"
KEYS = {"forward": 5, "back": 6, "go": 13, "vary": 19, "note": 26}
LAMPS = {"ready": 17, "running": 27, "attention": 22}
SETTINGS = "/etc/fieldmouse/fieldmouse.yaml"
KEPT = "/var/lib/fieldmouse/last-picture"
RECORDS = "/var/lib/fieldmouse/records.sqlite"
QUICK = "caption:\n  seconds: 1\nstress:\n  purity: 2\n"
"""Settings for tests that look at many pictures: words that go soon."""

SLOW = 120.0
"""Seconds that anything may take here: an emulator on a busy host is ten times slower than on an idle one."""

DOWN, APART = 0.08, 0.25  # s: a short press, and from one to the next

_DRAW = """
import hashlib, sys
from appliance.cli import main
for name in sys.argv[2:]:
    if main(["draw", name, "--format", sys.argv[1], "--raw", "-o", "/run/drawn.raw"]):
        sys.exit(2)
    print(hashlib.sha256(open("/run/drawn.raw", "rb").read()).hexdigest())
"""

_WATCH_LAMP = """
import json, os, sys, time
sys.path.insert(0, "/usr/lib/machine-helper")
from guest.gpio_lines import lamp
line, end, seen = int(sys.argv[1]), time.monotonic() + float(sys.argv[2]), []
while time.monotonic() < end and not os.path.exists(sys.argv[3]):
    if not seen or lamp(line) != seen[-1][1]:
        seen.append([time.monotonic(), lamp(line)])
    time.sleep(0.04)
print(json.dumps(seen))
"""

Event = tuple[float, str, int | str]


class Entry(NamedTuple):
    """One pattern of the catalogue."""

    key: str
    family: str
    variants: tuple[str, ...]

    @property
    def first(self) -> str:
        """Pattern and first variant, as ``draw`` wants them."""
        return f"{self.key}:{self.variants[0]}"


class Box:
    """The product in ``machine``. Its settings and what it remembers are set by :meth:`start`."""

    def __init__(self, machine: Machine) -> None:
        self.machine = machine
        self._drawn: dict[tuple[str, str], str] = {}
        self._patterns: list[Entry] = []

    def wait(self, what: str, look: Callable[[], T], timeout: float = SLOW, every: float = 0.2) -> T:
        """As the machine's ``wait_for``, with time enough for a host that is busy with other things."""
        return self.machine.wait_for(what, look, timeout, every)

    # the service

    def start(
        self, settings: str | None = QUICK, *, forget: bool = True, held: Iterable[str] = (), wait: bool = True
    ) -> None:
        """Start it anew with these settings (None: no file), keys ``held`` down, and ``wait`` for its ready lamp."""
        self.stop()
        for line in KEYS.values():
            self.machine.ask("release", key=line)
        for key in held:
            self.machine.ask("press", key=KEYS[key])
        if settings is None:
            self.machine.run(["rm", "-f", SETTINGS])
        else:
            self.machine.write(SETTINGS, settings)
        if forget:  # a soak or a visit that was left open, too: it would be offered
            self.machine.run(f"rm -f {KEPT} {RECORDS}*")
        self.must(f"systemctl reset-failed {UNIT}; systemctl start {UNIT}")
        if wait:
            self.wait_ready()

    def stop(self) -> None:
        """Stop it and wait until it has ended."""
        self.must(f"systemctl stop {UNIT}")

    def must(self, command: str) -> str:
        """Run a command that has to succeed; what it printed."""
        done = self.machine.run(command)
        assert done.code == 0, (command, done)
        return done.out

    def wait_ready(self, timeout: float = SLOW) -> None:
        """Wait for the ready lamp: a picture is up, and keys are listened to."""
        # Lines can be asked for once the chip is there: just after a boot it may not be.
        chip = "udevadm settle; ls /dev/gpiochip*"
        self.wait("the GPIO chip", lambda: self.machine.run(chip).code == 0, timeout)
        self.wait("the ready lamp", lambda: self.lit("ready"), timeout)

    def facts(self, *names: str) -> dict[str, str]:
        """Properties of the unit."""
        found: dict[str, str] = self.machine.ask("unit", unit=UNIT, names=list(names))
        return found

    def pid(self) -> int:
        """The service's process; 0 when there is none."""
        return int(self.facts("MainPID")["MainPID"])

    def said(self, words: str, since: float = 0.0) -> list[str]:
        """The service's journal lines with these words since a moment of the guest's clock."""
        lines = self.machine.journal(UNIT)
        return [line["message"] for line in lines if words in line["message"] and line["at"] >= since]

    def wait_said(self, words: str, since: float = 0.0) -> list[str]:
        """Wait for journal lines with these words; asked for seldom, since reading the journal takes the guest long."""
        return self.wait(f"{words!r} in the journal", lambda: self.said(words, since), every=1)

    def now(self) -> float:
        """The guest's monotonic clock."""
        return float(self.machine.ask("now"))

    def remembered(self) -> tuple[str, str, str, str]:
        """Format, system, pattern and variant that are kept on the disk; empty words while nothing is."""
        try:
            head = self.machine.read(KEPT).partition(b"\n\n")[0].decode()
        except GuestTrouble:
            head = ""
        facts = dict(line.split(": ", 1) for line in head.splitlines() if ": " in line)
        return (facts.get("format", ""), facts.get("system", ""), facts.get("pattern", ""), facts.get("variant", ""))

    def wait_remembered(self, *wanted: str) -> None:
        """Wait until the disk holds format, system, pattern, variant."""
        self.wait(f"{wanted} to be kept", lambda: self.remembered() == wanted)

    def settled(self) -> str:
        """The pattern on the disk once it has not changed for a while: it is written a second after the last step."""
        seen, since = "", 0.0

        def look() -> bool:
            nonlocal seen, since
            if (now := self.remembered()[2]) != seen:
                seen, since = now, self.now()
            return bool(seen) and self.now() > since + 2.5

        self.wait("a pattern to be kept", look)
        return seen

    def go_to(self, key: str) -> None:
        """Step to a pattern; again if the host held up a press for so long that it repeated."""
        keys = [entry.key for entry in self.patterns()]
        for _ in range(5):
            if steps := keys.index(key) - keys.index(self.settled()):
                self.press(*["forward" if steps > 0 else "back"] * abs(steps))
            else:
                return
        raise AssertionError(f"{key} was not reached by keys")

    def set_moving(self) -> float:
        """Press go; once more if a caution came instead, which has to be read. When that was."""
        for _ in range(3):
            begun = self.press("go")[0]
            self.wait("a second", lambda since=begun: self.now() > since + 1.5)  # type: ignore[misc] # bound early
            if len({field.fb for field in self.machine.fields() if field.stamp > begun}) > 4:
                return begun
        raise AssertionError("go did not set the picture moving")

    def choose(self, forwards: int) -> float:
        """Choose from the list of activities, which is read when it is first asked for; when it was asked for."""
        asked = self.now()
        self.hold("go", seconds=1.3)
        self.wait_said("activities to choose from", int(self.facts("ExecMainStartTimestampMonotonic")
                                                        ["ExecMainStartTimestampMonotonic"]) / 1e6)  # fmt: skip
        self.press(*["forward"] * forwards, "go")
        return asked

    # keys and lamps

    def press(self, *names: str) -> list[float]:
        """Short presses, one after the other; when each went down (the stamp before it was done)."""
        stamps = self.machine.play(presses(*names))
        return [before for before, _ in stamps[::2]]

    def hold(self, *names: str, seconds: float) -> list[float]:
        """Keys down together, a moment apart, for so many seconds; the stamps before each edge."""
        events: list[Event] = [(0.05 * n, "down", KEYS[name]) for n, name in enumerate(names)]
        events += [(0.05 * n + seconds, "up", KEYS[name]) for n, name in enumerate(names)]
        return [before for before, _ in self.machine.play(events)]

    def lit(self, lamp: str) -> bool:
        """Whether a lamp is lit now."""
        return self.machine.lamp(LAMPS[lamp])

    def watch(self, lamp: str, seconds: float, until: str = "/run/never") -> Callable[[], list[tuple[float, bool]]]:
        """Watch a lamp from now on, for so many seconds or until there is a file ``until``, beside other questions.

        What comes back gives, when called, each level with the guest's time at which it was first seen.
        """
        self.machine.run(["rm", "-f", until])
        command = ["python3", "-c", _WATCH_LAMP, str(LAMPS[lamp]), str(seconds), until]
        begun = self.machine.begin("run", command=command, timeout=seconds + 60, user=None)
        return lambda: [(at, lit) for at, lit in json.loads(begun(seconds + 90)["out"])]

    def code(self) -> int:
        """The count on the attention lamp; 0 when it stays dark. Watched again when a stall made one flash of two."""
        for _ in range(3):
            if (count := _count(flashes := whole_flashes(self.watch("attention", 9.0)()))) is not None:
                return count
        raise AssertionError(f"no count can be told from {flashes}")

    # pictures

    def patterns(self) -> list[Entry]:
        """The catalogue of the box in the guest."""
        if not self._patterns:
            found = json.loads(self.must("fieldmouse patterns --json"))
            self._patterns = [Entry(p["key"], p["family"], tuple(p["variants"])) for p in found]
        return self._patterns

    def pattern(self, steps: int, start: str = "crosshatch") -> Entry:
        """The pattern so many steps after (before, if negative) another."""
        keys = [entry.key for entry in self.patterns()]
        return self.patterns()[(keys.index(start) + steps) % len(keys)]

    def drawn(self, *names: str, fmt: str) -> list[str]:
        """The SHA-256 of what ``fieldmouse draw NAME --format FMT --raw`` writes in the guest, for each name."""
        new = [name for name in dict.fromkeys(names) if (name, fmt) not in self._drawn]
        if new:
            done = self.machine.run(["python3", "-c", _DRAW, fmt, *new], timeout=300)
            assert done.code == 0, done.err
            self._drawn |= dict(zip([(name, fmt) for name in new], done.out.split(), strict=True))
        return [self._drawn[name, fmt] for name in names]

    def wait_picture(self, name: str, fmt: str = "240p", timeout: float = SLOW) -> Scanout:
        """Wait until what is scanned out equals the drawn picture bit for bit."""
        (wanted,) = self.drawn(name, fmt=fmt)
        seen: dict[int, str] = {}

        def look() -> Scanout | None:
            if (fb := self.machine.scanout(pixels=False).fb) in seen:
                return None
            found = self.machine.scanout()
            if digest(found) == wanted:
                return found
            # Numbers of framebuffers are used again: one seen is only passed over while it stands.
            seen.clear()
            seen[fb] = digest(found)
            return None

        return self.wait(f"{name} in {fmt} bit for bit", look, timeout)  # type: ignore[return-value] # never None

    def mode(self) -> tuple[tuple[int, ...], str]:
        """Modeline and ``TV mode`` now."""
        found = self.machine.scanout(pixels=False)
        return found.modeline, found.tv_mode

    def rate(self) -> float:
        """Fields a second by the card's own stamps since the mode was set, at least fifty of them."""
        began = self.now()
        self.wait("fifty fields", lambda: self.now() > began + 1.2)
        fields = self.mode_fields()
        assert len(fields) > 50
        return (fields[-1].number - fields[0].number) / (fields[-1].stamp - fields[0].stamp)

    def mode_fields(self) -> list[Field]:
        """The card's log since the mode was last set."""
        fields = self.machine.fields()
        start = max((n for n, (a, b) in enumerate(pairwise(fields), 1) if b.number <= a.number), default=0)
        return fields[start:]

    def unlike(self, stamp: float) -> tuple[list[Field], list[Field]]:
        """After a moment: the fields that still showed what was up then, and those from the first other one on."""
        fields = self.machine.fields()
        before = [field for field in fields if field.stamp <= stamp]
        after = fields[len(before) :]
        same = next((n for n, field in enumerate(after) if field.fb != before[-1].fb), len(after))
        return after[:same], after[same:]


def presses(*names: str, apart: float = APART) -> list[Event]:
    """Short presses as events to play."""
    return [event for n, name in enumerate(names) for event in _press(n * apart, KEYS[name])]


def _press(at: float, line: int) -> list[Event]:
    return [(at, "down", line), (at + DOWN, "up", line)]


def digest(seen: Scanout) -> str:
    """The SHA-256 of the rows scanned out."""
    return hashlib.sha256(seen.rows).hexdigest()


def whole_flashes(seen: list[tuple[float, bool]]) -> list[tuple[float, float]]:
    """How long a watched lamp was lit, and dark after it, for each flash that was seen whole."""
    begun = [n for n, (_, lit) in enumerate(seen) if lit and n]  # one lit from the start began before
    ends = [at for at, _ in seen]
    return [(ends[n + 1] - ends[n], ends[n + 2] - ends[n + 1]) for n in begun if n + 2 < len(ends)]


def _count(flashes: list[tuple[float, float]]) -> int | None:
    """Flashes between two long pauses, 0 without any; a count needs two pauses to be whole. None when they differ."""
    pauses = [n for n, (_, dark) in enumerate(flashes) if dark > 0.9]
    counts = {b - a for a, b in pairwise(pauses)}
    return None if len(counts) > 1 else counts.pop() if counts else 0
