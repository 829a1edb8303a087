"""A box on which somebody views a set by keys, in reckoned time; and the visits as they were kept."""

from pathlib import Path
from typing import Self

from appliance.activities.hosted_viewing import HostedViewing
from appliance.activities.viewing import State, Viewing
from appliance.activities.viewing_plan import MORE
from appliance.hardware.screens.memory import MemoryScreen
from appliance.records.entries import StepState, VisitRecord
from appliance.records.store import Store
from tests.service.soaked import Powered


class Visited(Powered):
    """One boot, at a set; what it is asked for is chosen by keys alone."""

    screen: MemoryScreen

    def choose(self, title: str) -> Self:
        """An activity from the list of a held ``go``."""
        self.run(1)
        self.press("go", 1.2)
        for _ in self.service.box.activities:
            if self.words.splitlines()[0].removeprefix("Choose: ") == title:
                break
            self.press("forward")
        self.press("go")
        return self

    def type(self, names: str, pause: float = 1.0) -> Self:
        """Keys one after the other; one with a + is held."""
        for name in names.split():
            self.press(name.rstrip("+"), 1.2 if name.endswith("+") else 0.1)
            self.run(pause)
        return self

    def hold_both(self, one: str, other: str, seconds: float) -> Self:
        """Two keys down together, and a moment after it."""
        for key in (one, other):
            self.keys.press(key, self.waiter.now + 0.01, seconds)
        self.run(seconds + 0.5)
        return self

    def note(self, kind: str) -> Self:
        """A kind noted as it is offered, through the groups of all kinds if need be."""
        self.press("note")
        group = MORE + self.viewing.guide.kinds[kind].group
        for wanted in (kind,) if kind in self.viewing._choice.offered else (MORE, group, kind):
            for _ in self.viewing.guide.kinds:
                if self.viewing._choice.kind == wanted:
                    break
                self.press("forward")
            self.press("go")
        return self.run(1)

    def wait_for(self, state: State, most: float = 60.0) -> Self:
        """Let time pass until the viewing is there."""
        for _ in range(int(most * 4)):
            if self.viewing.state is state:
                return self
            self.run(0.25)
        raise AssertionError(f"{self.viewing.state} and not {state}")

    @property
    def viewing(self) -> Viewing:
        """The viewing that is on."""
        guest = self.service.box.host.guest
        assert isinstance(guest, HostedViewing)
        return guest.viewing

    @property
    def step(self) -> str:
        """The key of the step reached."""
        return self.viewing._step.key

    @property
    def large(self) -> str:
        """The large number on the screen."""
        return self.service.box.showing().large


def visit(folder: Path, number: int = 1) -> VisitRecord:
    """A visit as a command reads it."""
    store = Store(folder, boot_id="reader", wall=lambda: (0.0, False))
    store.open_to_read()
    try:
        record = store.visits.one(number)
    finally:
        store.close()
    assert record is not None
    return record


def noted(folder: Path, number: int = 1) -> list[tuple[str, str, int, int | None]]:
    """Step, kind, severity and zone of each note that counts."""
    return [(note.step, note.kind, note.severity, note.zone) for note in visit(folder, number).noted]


def looked(folder: Path, number: int = 1) -> list[str]:
    """The steps looked at."""
    return [step.step.key for step in visit(folder, number).steps if step.state is StepState.LOOKED]
