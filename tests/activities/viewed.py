"""A small invented route, and a person, a screen and a store for it."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Self

from appliance.activities.viewing import State, Viewing
from appliance.activities.viewing_plan import Guide, Route, Sort, Step
from appliance.activities.viewing_plan import Kind as FaultKind
from appliance.activities.viewing_record import Described, Ended, Marked, Noted, Record, TakenBack
from appliance.activities.viewing_words import Judge, degree
from appliance.patterns.registry import SPARED, STANDS, Sparing
from appliance.presses.press import Kind, Press
from appliance.video.formats import FORMATS

KINDS = {
    key: FaultKind(key, name, group, danger)
    for key, name, group, danger in (
        ("tilt", "Picture turned", "geometry", False),
        ("bow", "Top or bottom curved", "geometry", False),
        ("weak-gun", "One colour weak", "tube", False),
        ("soft", "Not sharp", "focus", False),
        ("hum-1", "One drifting bar", "hum", False),
        ("arc", "Snaps, flashes, hiss", "supply", True),
        ("smell", "Smoke or smell", "danger", True),
        ("danger", "Danger, not told further", "danger", True),
    )
}
LIKELY = ("tilt", "bow", "soft")
FULL = {"100": Sparing(60, "25"), "25": Sparing(STANDS, "25" + SPARED)}
SHAPE = Step("shape", "Shape", "Straight lines", "crosshatch", ("white", "fine"), likely=LIKELY,
             sparing={name: Sparing(STANDS, name + SPARED) for name in ("white", "fine")})  # fmt: skip
LOAD = Step(
    "white", "White", "Growth", "white", ("100", "75", "25"), Sort.LOAD, seconds=10, goes_on=True,
    likely=("arc", "bow", "soft"), dimmed="25", sparing=FULL,
)  # fmt: skip
RED = Step("red", "Red", "Blotches", "red", ("100", "25"), seconds=8, goes_on=True, likely=("weak-gun", "tilt", "bow"),
           sparing=FULL)  # fmt: skip
HUM = Step("hum", "Grey", "Bars", "grey", ("50",), seconds=20, likely=("hum-1", "tilt", "bow"),
           words=(("A second screen", "of words"),))  # fmt: skip
RUN = Step("moving", "Moving", "Even cells", "moving-crosshatch", ("across", "down"), Sort.MOVING, likely=LIKELY,
           caution=("Moving stripes can trigger", "seizures: look away."))  # fmt: skip
BOUNCE = Step("bounce", "Light and dark", "Growth", "bounce", ("faded",), Sort.MOVING, seconds=15, goes_on=True,
              likely=LIKELY, caution=("Light and dark.",), flashing=True)  # fmt: skip
STEPS = (SHAPE, LOAD, RED, HUM, RUN, BOUNCE, replace(SHAPE, key="again"))
ROUTE = Route("small", "A small route", STEPS)
GUIDE = Guide(ROUTE, KINDS)
FMT = FORMATS["240p"]


def a_guide(*steps: Step) -> Guide:
    """A route of these steps."""
    return Guide(Route("made", "Made", steps), KINDS)


def a_viewing(guide: Guide = GUIDE, now: float = 0.0) -> Viewing:
    """A viewing at its card."""
    return Viewing(guide, 12, FMT, now)


@dataclass
class Card:
    """What is on the card, as the box's store has it: an unkind one, that refuses while ``broken``."""

    broken: bool = False
    notes: dict[int, Noted] = field(default_factory=dict)
    marks: dict[int, str] = field(default_factory=dict)
    path: str = "composite"
    warmth: str = "unknown"
    ended: str = ""

    def take(self, record: Record) -> bool:
        """Keep a record, or refuse it."""
        if self.broken:
            return False
        match record:
            case Noted():
                assert record.number not in self.notes, "a note that was kept comes never again"
                self.notes[record.number] = record
            case TakenBack():
                self.notes.pop(record.note, None)
            case Marked():
                self.marks[record.place] = record.state
            case Described():
                self.path, self.warmth = record.path, record.warmth
            case Ended():
                self.ended = record.how
        return True


class Visit:
    """A viewing that is driven: a perfect screen, a card, and keys pressed at the time ``now``."""

    def __init__(self, guide: Guide = GUIDE, viewing: Viewing | None = None, judge: Judge | None = None) -> None:
        self.now, self.card, self.presses = 0.0, Card(), 0
        self.told: set[int] = set()
        self.slow = False
        self._unanswered: list[Record] = []
        self.viewing = viewing or (Viewing(guide, 12, FMT, 0.0, judge=judge) if judge else a_viewing(guide))
        self._up: object = None
        self.look()

    def key(self, name: str, kind: Kind = Kind.SHORT) -> Self:
        """A key as it comes: its edge down first, and nothing more if that was taken."""
        self.presses += kind is not Kind.REPEAT
        if not self.viewing.press(Press(Kind.TOUCH, name, self.now)):
            self.viewing.press(Press(kind, name, self.now))
        self.look()
        return self

    def keys(self, names: str) -> Self:
        """Keys one after the other, a second between them; one with a + is held."""
        for name in names.split():
            self.key(name.rstrip("+"), Kind.HELD if name.endswith("+") else Kind.SHORT)
            self.wait(1)
        return self

    def look(self) -> None:
        """The screen puts up what is wanted and says so; the card takes what is to be kept."""
        showing = self.viewing.showing()
        wanted = (showing.pattern, showing.variant, showing.moving, showing.caption)
        if wanted != self._up:
            self._up = wanted
            self.viewing.shown(showing.pattern, self.now)
        self._unanswered += self.viewing.drain()
        if not self.slow:
            self.answer()
        self._check_told()

    def answer(self) -> None:
        """The card takes what waits, or refuses it."""
        records, self._unanswered = self._unanswered, []
        for record in records:
            if self.card.take(record):
                self.viewing.kept(record.number, self.now)
                if isinstance(record, Noted) and "\nkept: " in self.words:
                    self.told.add(record.number)
            else:
                self.viewing.not_kept(record.number, self.now)
                assert "\nkept: " not in self.words

    def _check_told(self) -> None:
        """Whatever is told as kept is on the card."""
        title, _, how = self.words.partition("\nkept: ")
        if how:
            there = {(note.title, degree(note.severity, note.zone)) for note in self.card.notes.values()}
            assert (title, how) in there

    def steps(self, seconds: float) -> Iterator[float]:
        """Sleep and wake as the service does, for so many seconds; each time awake."""
        end = self.now + seconds
        while (due := self.viewing.due()) is not None and due <= end:
            self.now = max(self.now, due)
            self.viewing.tick(self.now)
            self.look()
            yield self.now
        self.now = end

    def wait(self, seconds: float) -> Self:
        """Let so much time go by."""
        for _ in self.steps(seconds):
            pass
        return self

    def restart(self, guide: Guide = GUIDE) -> None:
        """The power goes and comes back: only what is on the card is left."""
        card, self._unanswered = self.card, []
        self.told &= set(card.notes)  # numbers of what was taken back may come again
        self.viewing = Viewing.resumed(
            guide, 12, FMT, self.now, notes=list(card.notes.values()), marks=card.marks, path=card.path,
            warmth=card.warmth,
        )  # fmt: skip
        self._up = None
        self.look()

    @property
    def state(self) -> State:
        """What the keys mean."""
        return State(self.viewing.state)

    def at(self, state: State) -> bool:
        """Whether the viewing is in ``state``."""
        return self.state == state

    @property
    def step(self) -> str:
        """The key of the step reached; ``card`` before the first."""
        return self.viewing._step.key if self.viewing._place >= 0 else "card"

    @property
    def words(self) -> str:
        """What stands on the screen."""
        caption = self.viewing.showing().caption
        return caption.text if caption else ""

    @property
    def picture(self) -> tuple[str, str]:
        """Pattern and variant."""
        showing = self.viewing.showing()
        return showing.pattern, showing.variant
