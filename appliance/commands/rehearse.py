"""``fieldmouse rehearse``: the real service without hardware, its keys pressed by a script, its pictures kept."""

import json as to_json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np

from appliance.activities.hosted_soak import begun
from appliance.commands.draw import contact_sheet, file_stem, save_png
from appliance.commands.kept import records
from appliance.hardware.keys.memory import MemoryKeys
from appliance.hardware.screens.memory import MemoryScreen
from appliance.hardware.sound.memory import MemorySound
from appliance.patterns.picture import Frame
from appliance.presses.edges import Edge
from appliance.service.assemble import Hardware, Memory, assemble
from appliance.service.hardware import Pins, key_openers, lamp_opener
from appliance.service.rehearsal import Player, Recorder
from appliance.service.scribe import Archive
from appliance.service.script import Event, read_script
from appliance.service.waiter import SimulatedWaiter
from appliance.settings import Settings, load
from appliance.shipped import shipped
from appliance.soaks import find_soak
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
        count, visits = album.save_sheet(), save_visits(album.folder)
        if not json:
            if visits:
                print(f"{', '.join(visits)}: sheet and tally of what was viewed")
            print(f"{count} pictures and {Album.SHEET} in {album.folder}")
    return 0


def rehearse(settings: Settings, events: list[Event], hear: Callable[[Told], None], album: "Album | None") -> None:
    """Run the service on mock pins and a memory screen in simulated time until the script ends.

    What it keeps goes into the album's folder, without one into a folder that is gone afterwards. With a soak in the
    script a moving picture is put up once and not moved, or hours would take hours.
    """
    with _mock_pins() as mock, TemporaryDirectory() as passing:
        folder = album.folder if album else Path(passing)
        Stage(settings, events, mock, folder, hear, album).play()


class Stage:
    """One box after the other in the same simulated time: each is there until its power is cut."""

    def __init__(
        self,
        settings: Settings,
        events: list[Event],
        mock: Any,
        folder: Path,
        hear: Callable[[Told], None],
        album: "Album | None",
    ) -> None:
        self._settings, self._mock, self._folder = settings, mock, folder
        self._hear, self._album = hear, album
        self._waiter = SimulatedWaiter()
        self._plugged = MemoryKeys()
        self._every_field = all(event.what != "soak" for event in events)
        drive = _driver(mock, settings, self._plugged, self._waiter.clock)
        self._player = Player(events, drive, self._act)
        self._recorder = Recorder(self._heard, lambda: self._service.box.activity, self._player.begin)
        self._power_up(0)

    def play(self) -> None:
        """From the first power-up to the script's end."""
        self._waiter.world = self._player
        self._player.prelude()
        boot = 0
        while True:
            self._service.run()
            if not self._player.off:
                return
            self._recorder.off(self._waiter.now)
            back = self._player.power()
            if back is None:
                return
            self._waiter.now, boot = back, boot + 1
            self._power_up(boot)

    def _power_up(self, boot: int) -> None:
        self._plugged.read(self._waiter.now)  # what was pressed on a dead box
        self._screen = MemoryScreen(self._waiter.clock)
        screen, pins = self._screen, _MockPins(self._settings, self._mock, self._waiter.clock)
        lines = [opener for opener in key_openers(self._settings, pins) if opener[0] == "keys"]
        hardware = Hardware(
            lambda: screen,
            (*lines, ("number pad", lambda: self._plugged)),
            lamp_opener(self._settings, pins),
            MemorySound,
            off=self._off,
            every_field=self._every_field,
        )
        archive = Archive(self._folder, f"rehearsal {boot}", wall=self._wall, threaded=False, fresh=boot == 0)
        self._service = assemble(
            self._settings, hardware, Memory(None, "", archive), self._waiter, watcher=self._recorder
        )

    def _wall(self) -> tuple[float, bool]:
        """No clock is set in a rehearsal: its time is reckoned."""
        return self._waiter.now, False

    def _act(self, event: Event, now: float) -> None:
        box = self._service.box
        if event.what == "show":
            pattern, _, variant = event.target.partition(":")
            box.show(pattern, variant, now)
        elif event.what == "soak":
            box.cue("show", now)
            box.start(begun(find_soak(event.target), self._settings.caption.seconds), now)
        elif event.what == "view":
            box.cue("show", now)
            box.start(self._service.viewing(event.target), now)
        elif event.what == "cut":
            self._service.cut()

    def _heard(self, told: Told) -> None:
        self._hear(told)
        if self._album and told["pattern"]:
            self._album.take(told, self._screen)

    def _off(self) -> bool:
        """Keys that switch the box off end its rehearsal; nothing else is ever switched off from here."""
        self._service.stop()
        return True


def save_visits(folder: Path) -> list[str]:
    """Write sheet and tally of each visit in the records of ``folder``; the names of the files."""
    from appliance.records.judged import Knowledge
    from appliance.records.sheet import as_page
    from appliance.records.surroundings import FILE
    from appliance.records.tally import tally_pages

    if not (folder / FILE).exists():
        return []
    with records(folder) as store:
        visits = [store.visits.one(record.id) for record in reversed(store.visits.last())]
    known, names = Knowledge.load() if visits else None, []
    for visit in visits:
        assert visit is not None
        assert known is not None
        pages = {"html": as_page(visit, known), "txt": "\n\n".join(tally_pages(visit, known.findings.kinds)) + "\n"}
        for ending, text in pages.items():
            names.append(f"visit-{visit.id}.{ending}")
            (folder / names[-1]).write_text(text, encoding="utf-8")
    return names


class _MockPins(Pins):
    def __init__(self, settings: Settings, mock: Any, clock: Callable[[], float]) -> None:
        super().__init__(settings, clock)
        self._factory = mock


@contextmanager
def _mock_pins() -> Iterator[Any]:
    from gpiozero.pins.mock import MockFactory, MockPin

    class KeyLine(MockPin):  # type: ignore[misc] # gpiozero has no types
        """A line that a key holds: a resistor of the chip's, set when the line is opened, does not move it."""

        held: bool | None = None

        def hold(self, high: bool) -> None:
            self.held = high
            (self.drive_high if high else self.drive_low)()

        def _set_pull(self, value: str) -> None:
            super()._set_pull(value)
            if self.held is not None:
                self.hold(self.held)

    mock = MockFactory(pin_class=KeyLine)
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
        mock.pin(single.pins[key]).hold(down == (single.active == "high"))

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
        mark = tuple(str(told[name]) for name in ("pattern", "variant", "format", "system", "caption", "large", "code"))
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
    picture = f"{told['pattern']}:{told['variant']}" if told["pattern"] else told["activity"]
    words = told["caption"].replace("\n", " / ")
    print(f"{told['t']:9.3f} s  {told['format']} {told['system']:6}  {picture:28} [{lamps}]  {words}", flush=True)
