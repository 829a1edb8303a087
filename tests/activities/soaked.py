"""A small invented soak, and a person and a screen for it."""

from collections.abc import Iterator
from typing import Self

from appliance.activities.soak_event import SoakEvent
from appliance.activities.soak_plan import Phase, Soak
from appliance.activities.soaking import Soaking, State
from appliance.presses.press import Kind, Press
from tests.activities.invented import RATE

PAN = Phase("pan", "slow", 300, moving=True, words="pan")
WHITE = Phase("white", "75", 60, moving=False, bright=True, words="white")
HATCH = Phase("crosshatch", "white", 120, moving=False, look=True, words="hatch")
REST = Phase("black", "0", 600, moving=False, rest=True, words="rest")
SOAK = Soak(
    "small", "A small soak", (PAN, WHITE, REST, PAN, HATCH), resume=False, presence_minutes=0, looks=(2, 6, 10, 23),
    cautions=(("Moving stripes can trigger", "seizures: look away."),),
)  # fmt: skip
"""23 minutes; the look at 6 falls into the white and is wanted after the rest, as the one at 10 is."""


def a_soak(*phases: Phase, presence: int = 0, looks: tuple[int, ...] = (), resume: bool = False) -> Soak:
    """A soak of these phases."""
    return Soak("made", "A soak for trial", phases, resume, presence, looks)


def a_soaking(soak: Soak = SOAK, now: float = 0.0) -> Soaking:
    """A soak at its cautions."""
    return Soaking(soak, RATE, now)


class Bench:
    """A soak that is driven: a perfect screen, and keys pressed at the time ``now``."""

    def __init__(self, soak: Soak = SOAK, now: float = 0.0, soaking: Soaking | None = None) -> None:
        self.now = now
        self.soaking = soaking or a_soaking(soak, now)
        self.log: list[SoakEvent] = []
        self._up: object = None

    def started(self) -> Self:
        """Cautions read, held ``go``, dim start over; the clock stands where the first picture came up."""
        while not self.soaking._pages_seen:
            self.key("go")
        self.key("go", Kind.HELD)
        self.wait_for(State.RUNNING)
        return self

    def key(self, name: str, kind: Kind = Kind.SHORT) -> None:
        """A key as it comes: its edge down first, and nothing more if that was taken."""
        if not self.soaking.press(Press(Kind.TOUCH, name, self.now)):
            self.soaking.press(Press(kind, name, self.now))
        self.look()

    def look(self) -> None:
        """The screen puts up what is wanted, and says so."""
        showing = self.soaking.showing()
        wanted = (showing.pattern, showing.variant, showing.moving, showing.caption)
        if wanted != self._up:
            self._up = wanted
            self.soaking.shown(showing.pattern, self._stamp())
        self.log += self.soaking.drain()

    def _stamp(self) -> float:
        return self.now

    def steps(self, seconds: float) -> Iterator[float]:
        """Sleep and wake as the service does, for so many seconds; each time awake."""
        end = self.now + seconds
        while (due := self.soaking.due()) is not None and due <= end:
            self.now = max(self.now, due)
            self.soaking.tick(self.now)
            self.look()
            yield self.now
        self.now = end

    def wait(self, seconds: float) -> None:
        """Let so much time go by."""
        for _ in self.steps(seconds):
            pass

    def wait_for(self, state: State, longest: float = 40_000) -> None:
        """Let time go by until the soak is in ``state``."""
        for _ in self.steps(longest):
            if self.soaking.state is state:
                return
        raise AssertionError(f"{self.soaking.state} after {longest} s, not {state}")

    def at(self, state: State) -> bool:
        """Whether the soak is in ``state``."""
        return self.soaking.state == state

    @property
    def words(self) -> str:
        """What stands on the screen."""
        caption = self.soaking.showing().caption
        return caption.text if caption else ""

    @property
    def picture(self) -> tuple[str, str]:
        """Pattern and variant."""
        showing = self.soaking.showing()
        return showing.pattern, showing.variant

    def told(self, kind: str) -> list[str]:
        """The words of the events of a kind."""
        return [event.words for event in self.log if event.kind == kind]
