"""What the service costs: its start, a moving field, a key, a still picture, and its memory over a long run."""

import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from time import perf_counter, process_time
from unittest.mock import patch

import numpy as np

from appliance.hardware.keys.memory import MemoryKeys
from appliance.hardware.lamps.memory import MemoryLamps
from appliance.hardware.screens.base import Flip
from appliance.hardware.screens.kms import KmsScreen
from appliance.hardware.screens.memory import MemoryScreen, MemorySurface
from appliance.hardware.screens.protocol import Screen
from appliance.hardware.sound.memory import MemorySound
from appliance.patterns.picture import Frame
from appliance.presses.edges import Edge
from appliance.service.assemble import Hardware, Memory, assemble
from appliance.service.first_light import settings_mark, write_kept
from appliance.service.painter import Painter
from appliance.service.service import Service
from appliance.service.views import View
from appliance.service.waiter import RealWaiter, SimulatedWaiter
from appliance.settings import load
from appliance.video.formats import FORMATS, find_mode
from tests.benchmarks.drawing import unit
from tests.hardware.screens.pretend_kernel import PretendCard, PretendKernel

FORMAT = FORMATS["240p"]
FIELD = float(FORMAT.field_time)
MOCK = "gpio:\n  factory: mock\nkeys:\n  devices:\n    use: false\n"
Row = tuple[str, str, str]

EARLY = """
from appliance.service.early import early_picture
early = early_picture(["--screen", "memory", "--settings", {settings!r}])
assert early.screen.read(early.at)
"""
BARE = "pass"


def start(runs: int = 41) -> Row:
    """A process that ends with the first picture up, against one that imports nothing, in turns."""
    with tempfile.TemporaryDirectory() as folder:
        settings = Path(folder) / "settings.yaml"
        settings.write_text(MOCK)
        facts = {"settings": settings_mark(str(settings)), "format": "240p", "system": "NTSC", "pattern": "crosshatch"}
        frame = np.zeros((FORMAT.lines, FORMAT.samples), "<u4")
        frame[::20], frame[:, ::60] = 0xC0C0C0, 0xC0C0C0
        write_kept(folder, {**facts, "variant": "white"}, find_mode(FORMAT, "NTSC"), frame.tobytes())
        environ = {**os.environ, "STATE_DIRECTORY": folder}
        codes = {"bare": BARE, "early": EARLY.format(settings=str(settings))}
        took: dict[str, list[float]] = {name: [] for name in codes}
        for _ in range(runs):
            for name, code in codes.items():
                begun = perf_counter()
                subprocess.run([sys.executable, "-c", code], env=environ, check=True)
                took[name].append(perf_counter() - begun)
    bare, early = median(took["bare"]), median(took["early"])
    what = f"start to first picture, memory ({early * 1e3:.0f} ms; bare Python {bare * 1e3:.0f} ms)"
    return what, f"{early / bare:.2f} x bare", "<= 3 x bare"


class Watch:
    """Hears of flips."""

    def __init__(self, heard: Callable[[View, Flip], None] = lambda *_: None) -> None:
        self.picture = heard

    def lamps(self, lit: tuple[bool, bool, bool], now: float) -> None:
        """As the service's watcher."""


def simulated(screen: Callable[[SimulatedWaiter], Screen], keys: MemoryKeys, watch: Watch | None = None) -> Service:
    """The whole service in reckoned time."""
    waiter = SimulatedWaiter()
    made = screen(waiter)
    hardware = Hardware(lambda: made, (("keys", lambda: keys),), MemoryLamps, MemorySound)
    return assemble(load(), hardware, Memory(None, ""), waiter, watcher=watch)


def moving(screen: Callable[[SimulatedWaiter], Screen], watch: Watch | None = None) -> Service:
    """The service with the moving crosshatch begun at 1.5 s."""
    keys = MemoryKeys()
    keys.press("go", 0.5)
    keys.press("go", 1.5)  # the first one shows the caution
    service = simulated(screen, keys, watch)
    service.box.show("moving-crosshatch", "slantwise", 0.0)
    return service


def memory_screen(waiter: SimulatedWaiter) -> MemoryScreen:
    """Fields by the clock of the waiter."""
    return MemoryScreen(waiter.clock)


class Marks:
    """Takes a figure at some counts of fields."""

    def __init__(self, figure: Callable[[], float], *counts: int) -> None:
        self.taken: list[float] = []
        self._figure, self._counts, self._seen = figure, counts, 0

    def heard(self, *_: object) -> None:
        """A picture went up."""
        self._seen += 1
        if self._seen in self._counts:
            self.taken.append(self._figure())


def processor_per_field(screen: Callable[[SimulatedWaiter], Screen], fields: int = 20_000) -> float:
    """Seconds of this process's time for each field of a moving picture, everything of ours included."""
    marks = Marks(process_time, 200, 200 + fields)
    moving(screen, Watch(marks.heard)).run(5 + (200 + fields) * FIELD)
    return (marks.taken[1] - marks.taken[0]) / fields


class KmsClock(KmsScreen):
    """The composite connector on a pretend kernel that lives in the waiter's time; flips come by ``due``."""

    def __init__(self, waiter: SimulatedWaiter) -> None:
        self.card = PretendCard()
        self.card.now = self.card.origin = waiter.now
        self._waiter = waiter
        super().__init__(clock=waiter.clock, system=PretendKernel(card0=self.card))

    def fileno(self) -> None:
        """Simulated time waits for no file."""

    def due(self) -> float | None:
        """The field's beginning, at which a real card would make its file readable."""
        if super().due() is None:
            return None
        return self.card.origin + (int((self.card.now - self.card.origin) / FIELD + 1e-6) + 1) * FIELD

    def read(self, now: float) -> list[Flip]:
        """Let the card's time catch up, then read it."""
        self.card.advance(max(0.0, now - self.card.now) + 1e-7)
        return super().read(now)


def moving_rows() -> Iterator[Row]:
    """A field of a moving picture, on memory and on a pretend kernel."""
    one, on_memory, on_kms = unit(), processor_per_field(memory_screen), processor_per_field(KmsClock)
    what = f"moving field on memory ({on_memory * 1e6:.0f} us of this process)"
    yield what, f"{on_memory / one:.2f} units", "<= 2 units"
    what = f"moving field on kms, pretend kernel's own work included ({on_kms * 1e6:.0f} us)"
    yield what, f"{100 * on_kms / FIELD:.2f} % of a field", "<= 2 %"


class Stopwatch(MemoryKeys):
    """Keys and a screen's flips on one watch: seconds from an edge down to the flip asked for, less the drawing."""

    def __init__(self) -> None:
        super().__init__()
        self.took: list[float] = []
        self._taken: float | None = None
        self._drawing = 0.0

    def read(self, now: float) -> list[Edge]:
        """As the keys'."""
        edges = super().read(now)
        if any(edge.down for edge in edges):
            self._taken, self._drawing = perf_counter(), 0.0
        return edges

    def draw(self, painter: Painter, view: View, field: int) -> Frame:
        """As the painter's ``frame``."""
        begun = perf_counter()
        frame = FRAME(painter, view, field)
        self._drawing += perf_counter() - begun
        return frame

    def flip(self) -> None:
        """A flip was asked for; the first after an edge counts."""
        if self._taken is not None:
            self.took.append(perf_counter() - self._taken - self._drawing)
        self._taken = None


FRAME = Painter.frame


class ToldScreen(MemoryScreen):
    """A memory screen that tells of the flips asked for."""

    def __init__(self, clock: Callable[[], float], told: Callable[[], None]) -> None:
        super().__init__(clock)
        self._told = told

    def flip(self, surface: MemorySurface, at: tuple[int, int] = (0, 0)) -> None:
        """As the screen's."""
        self._told()
        super().flip(surface, at)


def key_to_screen(presses: int = 200) -> Iterator[Row]:
    """From the edge that acts to the flip asked for, in earnest; and to the picture's first field, reckoned."""
    keys, went_up = Stopwatch(), list[float]()
    times = [5 + n * (6 + FIELD * n / presses) for n in range(presses)]
    for at in times:
        keys.press("forward", at)
    watch = Watch(lambda _, flip: went_up.append(flip.stamp))
    # A plain function, which the painter is handed to.
    with patch.object(Painter, "frame", lambda *words: keys.draw(*words)):  # noqa: PLW0108 - as said
        simulated(lambda waiter: ToldScreen(waiter.clock, keys.flip), keys, watch).run(times[-1] + 5)
    shown = [min(stamp for stamp in went_up if stamp >= at - 1e-9) - at for at in times]
    took = sorted(keys.took)
    what = f"key edge to flip asked for, less drawing, median and 99 % of {len(took)}"
    yield what, f"{median(took) / FIELD:.2f} and {took[len(took) * 99 // 100] / FIELD:.2f} fields", "<= 1 field"
    what = f"key edge to the picture's first field, were drawing free, worst of {presses}"
    yield what, f"{max(shown) / FIELD:.3f} fields", "<= 1 field"


class CountedWaiter(RealWaiter):
    """Notes when it woke, and the process's time then."""

    def __init__(self) -> None:
        super().__init__()
        self.woke: list[tuple[float, float]] = []

    def wait(self, files: Iterable[int], until: float | None) -> bool:
        """As the waiter's."""
        super().wait(files, until)
        self.woke.append((self.clock(), process_time()))
        return True


@contextmanager
def mock_hardware() -> Iterator[Hardware]:
    """Memory screen, keys and lamps on mock pins, as ``run --screen memory`` has them."""
    from appliance.service.hardware import find_hardware

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "settings.yaml"
        path.write_text(MOCK)
        yield find_hardware(load(path), "memory")


def still(seconds: float = 30) -> Iterator[Row]:
    """A still picture in real time: how often the loop wakes, and what it costs."""
    with mock_hardware() as hardware:
        waiter = CountedWaiter()
        service = assemble(load(), hardware, Memory(None, ""), waiter)
        begun = waiter.clock()
        service.run(begun + 8 + seconds)  # the caption goes after 4 s; the end is a black picture, which wakes too
    inside = [(at, used) for at, used in waiter.woke if begun + 8 <= at < begun + 8 + seconds - 1e-3]
    before = max(used for at, used in waiter.woke if at < begun + 8)
    after = min(used for at, used in waiter.woke if at >= begun + 8 + seconds - 1e-3)
    yield f"still picture, {seconds:.0f} s: wake-ups of the loop", f"{len(inside)}", "0"
    yield "still picture: time of this process over them", f"{1e3 * (after - before):.1f} ms", "—"


def resident() -> float:
    """MB of memory that are this process's now (proc(5), statm)."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def long_run(fields: int = 1_000_000) -> Row:
    """Memory at a hundredth of the fields and at the end."""
    marks = Marks(resident, fields // 100, fields)
    moving(memory_screen, Watch(marks.heard)).run(5 + fields * FIELD)
    what = f"resident memory at {fields // 100} and at {fields} moving fields"
    return what, f"{marks.taken[0]:.1f} and {marks.taken[1]:.1f} MB", "flat"


def rows() -> Iterator[Row]:
    """What, measured, goal."""
    yield start()
    yield from moving_rows()
    yield from key_to_screen()
    yield from still()
    yield long_run()
