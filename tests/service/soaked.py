"""A box at work in reckoned time, with records, a person who comes by, and a power that can be cut."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, Self

from appliance.activities.hosted_soak import HostedSoak
from appliance.activities.soaking import Soaking, State
from appliance.hardware.health import Health
from appliance.hardware.keys.memory import MemoryKeys
from appliance.hardware.lamps.memory import MemoryLamps
from appliance.hardware.screens.base import Flip
from appliance.hardware.screens.memory import MemoryScreen
from appliance.hardware.sound.memory import MemorySound
from appliance.records.entries import SoakRecord
from appliance.records.store import Store
from appliance.service.assemble import Hardware, Memory, assemble
from appliance.service.health_watch import UNKNOWN
from appliance.service.scribe import Archive
from appliance.service.service import Service
from appliance.service.views import View
from appliance.service.waiter import SimulatedWaiter
from appliance.settings import load

ON_A_CARD = "1 1 0:1 / / rw - ext4 /dev/root rw\n"


class Watch:
    """Keeps what went up."""

    def __init__(self) -> None:
        self.pictures: list[tuple[float, View]] = []
        self.attention: list[tuple[float, bool]] = []

    def picture(self, view: View, flip: Flip) -> None:
        """As a watcher."""
        self.pictures.append((flip.stamp, view))

    def lamps(self, lit: tuple[bool, bool, bool], now: float) -> None:
        """As a watcher."""
        self.attention.append((now, lit[2]))

    def words(self, after: float = 0.0) -> str:
        """Everything said on the screen from a time on."""
        return "\n".join(view.words for at, view in self.pictures if at >= after)


class Powered:
    """One boot: the whole service in reckoned time, its records in ``folder``.

    ``wall`` is what is added to the monotonic time for the wall clock, and may be changed at any time.
    """

    def __init__(self, folder: Path, boot: str = "first", at: float = 0.0, **changes: Any) -> None:
        self.waiter, self.watch, self.keys = SimulatedWaiter(at), Watch(), MemoryKeys()
        self.wall, self.synced, self.health = 1.7e9, True, UNKNOWN
        self.screen = MemoryScreen(self.waiter.clock)
        self.boot, self.folder = boot, folder
        archive = Archive(
            folder, boot, wall=lambda: (self.wall + self.waiter.now, self.synced), threaded=False,
            mountinfo=lambda: ON_A_CARD,
        )  # fmt: skip
        self.openings: Iterator[Callable[[], MemoryScreen]] = iter(())
        hardware = Hardware(
            self._open,
            (("keys", lambda: self.keys),),
            MemoryLamps,
            MemorySound,
            off=changes.pop("off", lambda: False),
            health=self._health,
            every_field=False,
            blinks=bool(changes.pop("blinks", True)),
        )
        settings, mistake = changes.pop("settings", load()), changes.pop("mistake", None)
        self.service: Service = assemble(
            settings,
            hardware,
            Memory(None, "", replace(archive, **changes)),
            self.waiter,
            mistake=mistake,
            watcher=self.watch,
        )

    def _open(self) -> MemoryScreen:
        return next(self.openings, lambda: self.screen)()

    def _health(self) -> Health:
        return self.health

    def run(self, seconds: float) -> Self:
        """Let so much time pass. The box is not told that it ends: :meth:`cut` or :meth:`stop` does that."""
        end = self.waiter.now + seconds
        while True:
            self.service.step(self.waiter.now)
            if self.waiter.now >= end or not self.waiter.wait((), self.service._due(end)):
                return self

    def begin(self, key: str = "soak") -> "Powered":
        """A soak begun as a person does it: chosen, its cautions read, ``go`` held."""
        self.run(1)
        self.press("go", 1.2)
        number = [activity.key for activity in self.service.box.activities].index(key)
        for _ in range(number):
            self.press("forward")
        self.press("go")
        while "Hold go" not in self.words:
            self.press("go")
        self.press("go", 1.2)
        assert self.soaking.state is State.WARMING
        return self

    def forget(self) -> None:
        """Let go of what the doubles have kept, which is not the box's."""
        self.watch.pictures.clear()
        self.watch.attention.clear()
        lamps = self.service._lamps.part
        assert isinstance(lamps, MemoryLamps)
        del lamps.changes[:-1]

    def press(self, key: str, held: float = 0.1) -> None:
        """A press, and a moment after it."""
        self.keys.press(key, self.waiter.now + 0.001, held)
        self.run(held + 0.5)

    def run_tended(self, every: float = 545.0, until: State = State.DONE) -> None:
        """Somebody looks in now and then, presses a digit, leaves looks alone, and switches the set on after a rest."""
        while self.soaking.state is not until:
            self.run(every)
            if self.soaking.state is State.WAITING:
                self.press("go")
            elif self.soaking.state is not State.DONE and not self.soaking.phase.bright:
                self.press("5")

    def cut(self) -> None:
        """The power goes."""
        self.service.cut()
        self.service._finish()

    def stop(self) -> None:
        """The service is told to stop."""
        self.service._finish()

    @property
    def soaking(self) -> Soaking:
        """The soak that is on."""
        guest = self.service.box.host.guest
        assert isinstance(guest, HostedSoak)
        return guest.soaking

    def at(self, state: State) -> bool:
        """Whether the soak is in ``state``."""
        return self.soaking.state is state

    @property
    def words(self) -> str:
        """What stands on the screen."""
        caption = self.service.box.showing().caption
        return caption.text if caption else ""

    @property
    def picture(self) -> tuple[str, str]:
        """Pattern and variant asked for."""
        showing = self.service.box.showing()
        return showing.pattern, showing.variant


def kept(folder: Path) -> SoakRecord:
    """The latest soak in the records of ``folder``, read as a command reads it."""
    store = Store(folder, boot_id="reader", wall=lambda: (0.0, False))
    store.open_to_read()
    try:
        record = store.soak(store.soaks()[0].id)
    finally:
        store.close()
    assert record is not None
    return record
