"""``fieldmouse rehearse``: the real service without hardware, its keys pressed by a script, its pictures kept."""

import json as to_json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np

from appliance.commands.draw import contact_sheet, file_stem, save_png
from appliance.hardware.keys.memory import MemoryKeys
from appliance.hardware.screens.memory import MemoryScreen
from appliance.hardware.sound.memory import MemorySound
from appliance.patterns.picture import Frame
from appliance.presses.edges import Edge
from appliance.service.assemble import Hardware, Memory, assemble
from appliance.service.hardware import Pins, key_openers, lamp_opener
from appliance.service.rehearsal import Player, Recorder
from appliance.service.script import Event, read_script
from appliance.service.service import Service
from appliance.service.waiter import SimulatedWaiter
from appliance.settings import Settings, load
from appliance.shipped import shipped
from appliance.video.formats import Format, find_format

Told = dict[str, Any]
FOLDER = Path("rehearsal")


def run(out: Path | None, script: Path | None, settings_path: Path | None, *, json: bool) -> int:
    """Play a script through the whole service; pictures go to ``out`` (with ``json`` only when it is named).

    Raises :class:`Refused` for a wrong script or settings file, or a folder that cannot be written.
    """
    events = read_script(script or shipped("config/rehearsal.txt"))
    settings = load(settings_path)
    album = None if json and out is None else Album(out or FOLDER)
    hear = _print_json if json else _say
    rehearse(settings, events, hear, album)
    if album:
        count = album.save_sheet()
        if not json:
            print(f"{count} pictures and {Album.SHEET} in {album.folder}")
    return 0


def rehearse(settings: Settings, events: list[Event], hear: Callable[[Told], None], album: "Album | None") -> None:
    """Run the service on mock pins and a memory screen in simulated time until the script ends."""
    with _mock_pins() as mock:
        waiter = SimulatedWaiter()
        screen = MemoryScreen(waiter.clock)
        service: Service

        def heard(told: Told) -> None:
            hear(told)
            if album:
                album.take(told, screen)

        plugged = MemoryKeys()
        drive = _driver(mock, settings, plugged, waiter.clock)
        player = Player(events, drive, lambda *place: service.box.show(*place))  # noqa: PLW0108 - the service comes last
        recorder = Recorder(heard, lambda: service.box.activity, player.begin)
        pins = _MockPins(settings, mock, waiter.clock)
        lines = [opener for opener in key_openers(settings, pins) if opener[0] == "keys"]
        hardware = Hardware(
            lambda: screen,
            (*lines, ("number pad", lambda: plugged)),
            lamp_opener(settings, pins),
            MemorySound,
            off=lambda: _off(service),
        )
        service = assemble(settings, hardware, Memory(None, ""), waiter, watcher=recorder)
        waiter.world = player
        player.prelude()
        service.run()


def _off(service: Service) -> bool:
    """Keys that switch the box off end its rehearsal; nothing else is ever switched off from here."""
    service.stop()
    return True


class _MockPins(Pins):
    def __init__(self, settings: Settings, mock: Any, clock: Callable[[], float]) -> None:
        super().__init__(settings, clock)
        self._factory = mock


@contextmanager
def _mock_pins() -> Iterator[Any]:
    from gpiozero.pins.mock import MockFactory

    mock = MockFactory()
    mock.reset()  # gpiozero 1.6 shares pins among all mock factories
    try:
        yield mock
    finally:
        mock.close()


def _driver(
    mock: Any, settings: Settings, plugged: MemoryKeys, clock: Callable[[], float]
) -> Callable[[str, bool], None]:
    """Press and release a key by the level of its line; one that has no line, by a pad plugged in."""
    single = settings.keys.single

    def drive(key: str, down: bool) -> None:
        if key not in single.pins:
            plugged.feed(Edge(key, down, clock()))
            return
        pin = mock.pin(single.pins[key])
        high = down == (single.active == "high")
        (pin.drive_high if high else pin.drive_low)()

    for key in single.pins:
        drive(key, False)  # a line without a resistor of the chip's own stands where its key puts it
    return drive


class Album:
    """The pictures of a rehearsal: a PNG of each as it stands on a 4:3 tube, and one sheet of all."""

    SHEET = "contact-sheet.png"

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._seen: set[tuple[str, ...]] = set()
        self._items: list[tuple[str, Frame, Format]] = []
        _make(folder)

    def take(self, told: Told, screen: MemoryScreen) -> None:
        """Keep the picture now on the screen, unless it was kept already."""
        mark = tuple(str(told[name]) for name in ("pattern", "variant", "format", "system", "caption"))
        if mark in self._seen:
            return
        self._seen.add(mark)
        fmt = find_format(told["format"])
        frame = np.frombuffer(screen.frame(), "<u4").reshape(fmt.lines, fmt.samples).astype(np.uint32)
        name = f"{len(self._seen):03} {file_stem(told['pattern'], told['variant'])}"
        save_png(frame, self.folder / f"{name.replace(' ', '-')}.png", corrected=True)
        self._items.append((name, frame, fmt))

    def save_sheet(self) -> int:
        """Write the contact sheet; the number of pictures."""
        contact_sheet(self._items, self.folder / self.SHEET)
        return len(self._items)


def _make(folder: Path) -> None:
    from appliance.errors import Refused

    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Refused(f"{folder}: no folder can be made there ({error.strerror}); name another with --out") from None


def _print_json(told: Told) -> None:
    print(to_json.dumps(told, ensure_ascii=False), flush=True)


def _say(told: Told) -> None:
    lamps = " ".join(name if lit else "·" * len(name) for name, lit in told["lamps"].items())
    picture = f"{told['pattern']}:{told['variant']}"
    words = told["caption"].replace("\n", " / ")
    print(f"{told['t']:9.3f} s  {told['format']} {told['system']:6}  {picture:28} [{lamps}]  {words}", flush=True)
