"""Twenty scripted visits along the viewing that ships: how many presses each takes, and an estimate of its time.

The time is by the keystroke-level model (Card, Moran and Newell, Communications of the ACM 23, 1980; operators from
memory): K, a press, 0.28 s; M, making up one's mind, 1.35 s; a held key adds the second it is held. Looking is no
operator of the model: LOOK is our own guess, without a source. Steps that are timed take their time. The times are
estimates; nobody was watched.
"""

from dataclasses import dataclass, field
from pathlib import Path

from appliance.activities.viewing import State, Viewing
from appliance.activities.viewing_plan import MORE, NOT_SAID, Guide
from appliance.findings import load_findings
from appliance.presses.press import Kind
from appliance.routes import guide
from tests.activities.viewed import FMT, Visit

K, M, HOLD, LOOK = 0.28, 1.35, 1.0, 5.0
NOWHERE = Path("there/is/none")
GUIDE = guide("viewing", NOWHERE, load_findings(NOWHERE))

Fault = tuple[str, str, int, int | None]
"""Step, kind, severity, zone (None: all over)."""

SCRIPTS: tuple[tuple[Fault, ...], ...] = (
    *([()] * 5),
    (("cold-start", "slow-start", 2, None), ("red", "burn-in", 1, 8), ("grey", "hum-2", 2, None),
     ("shape", "tilt", 2, None), ("fringes", "conv-edge", 2, 4)),
    (("set-off", "glass", 1, 9), ("white", "breathing", 2, None), ("blue", "weak-gun", 2, None),
     ("guns", "gun-late", 2, None), ("window", "smear", 2, None)),
    (("controls", "no-range", 2, None), ("white", "bend-white", 2, None), ("grey", "interference", 1, None),
     ("moving", "lin-v", 3, 2), ("bars", "wrong-hue", 2, None)),
    (("set-off", "cabinet", 2, None), ("green", "purity-spot", 2, 1), ("shape", "pincushion", 2, None),
     ("fringes", "conv-corner", 2, None), ("sound", "control", 2, None)),
    (("cold-start", "weak-gun", 2, None), ("red", "weak-gun", 3, None), ("steps", "tint-low", 2, None),
     ("guns", "weak-gun", 2, None), ("white-warm", "weak-tube", 2, None)),
    (("black", "flyback-lines", 2, None), ("shape", "overscan", 3, None), ("moving", "lin-h", 2, 6),
     ("detail", "soft", 2, None), ("off", "off-spot", 1, None)),
    (("set-off", "cord", 2, None), ("grey", "burn-in", 2, 8), ("shape", "off-centre", 2, 4),
     ("fringes", "conv-centre", 2, None), ("sound", "sound", 2, None)),
    (("white", "breathing", 3, None), ("window", "bend-white", 2, None), ("bounce", "breathing", 3, None),
     ("formats", "roll", 2, None), ("shape-warm", "jump", 2, None)),
    (("red", "purity-spot", 2, 7), ("green", "burn-in", 1, 8), ("blue", "purity-spot", 2, 3),
     ("fringes", "soft", 2, None), ("white-warm", "purity-spot", 2, 7)),
    (("controls", "black-level", 2, None), ("steps", "tint-high", 2, None), ("bars", "ripple-edge", 2, None),
     ("detail", "ghost", 2, None), ("sound", "socket", 2, None)),
    (("set-off", "glass", 2, 3), ("grey", "hum-1", 2, None), ("moving", "bow", 1, 2), ("bars", "hanover", 2, None),
     ("off", "off-spot", 2, None)),
    (("shape", "trapezium", 2, None), ("fringes", "conv-edge", 3, 6), ("guns", "gun-missing", 3, None),
     ("window", "ghost", 2, None), ("shape-warm", "lin-v", 2, None)),
    (("cold-start", "no-degauss", 2, None), ("red", "purity-spot", 3, 9), ("blue", "specks", 2, 5),
     ("formats", "tear", 2, None), ("white-warm", "tint-drift", 2, None)),
    (("white", "bend-white", 2, None), ("black", "black-level", 2, None), ("shape", "pincushion", 3, None),
     ("detail", "smear", 2, None), ("bounce", "jump", 2, None)),
    # Two at one step; and above, waving sides beside the bars: a kind that only "more" has there.
    (("shape", "off-centre", 2, None), ("shape", "tilt", 1, None), ("fringes", "soft", 2, None),
     ("sound", "sound", 2, None), ("off", "jump", 2, None)),
)  # fmt: skip
"""Five clean ones, and fifteen of five findings; half of those with a pad, half by the five keys alone.

Most findings are plain and about the whole screen or one zone of it, as on a set that one person looks over in minutes
(our own guess).
"""


@dataclass
class Walk:
    """One scripted visit: does what the script says, and counts.

    ``warmth``: what is said of it on the card, if anything.
    """

    script: tuple[Fault, ...]
    pad: bool
    warmth: str = NOT_SAID
    guide: Guide = GUIDE
    hand: float = 0.0
    visit: Visit = field(init=False)

    def __post_init__(self) -> None:
        self.visit = Visit(self.guide, Viewing(self.guide, 1, FMT, 0.0))

    def press(self, key: str, *, held: bool = False, thought: bool = False) -> None:
        """A press and the time it takes."""
        seconds = K + HOLD * held + M * thought
        self.hand += seconds
        self.visit.wait(seconds)
        self.visit.key(key, Kind.HELD if held else Kind.SHORT)

    def run(self) -> "Walk":
        """From the card until the viewing is over."""
        left = list(self.script)
        while self.visit.viewing.warmth != self.warmth:
            self.press("vary")
        while not self.visit.viewing.over:
            self.pass_time()
            while left and left[0][0] == self.visit.step and self.visit.state in (State.STEP, State.BLACK):
                self.note(left.pop(0))
            self.go_on()
        assert not left, f"{left} were never noted"
        return self

    def pass_time(self) -> None:
        """Look at the picture; a load is waited for to its end, unless its faults are to be noted."""
        if self.visit.state in (State.LOAD, State.FLASHING, State.MOVING):
            wanted = [fault for fault in self.script if fault[0] == self.visit.step]
            if wanted and not self.noted(wanted[0]) and self.visit.state is not State.MOVING:
                self.visit.wait(4)
                self.press("go", thought=True)
                self.visit.wait(0.6)
            elif self.visit.state is State.MOVING:
                self.visit.wait(LOOK)
            else:
                self.await_end()
        elif self.visit.state in (State.STEP, State.READY):
            self.visit.wait(LOOK)

    def await_end(self) -> None:
        """Wait for what goes on by itself."""
        place = self.visit.viewing._place
        for _ in self.visit.steps(60):
            if self.visit.viewing._place != place or self.visit.at(State.END):
                return

    def noted(self, fault: Fault) -> bool:
        """Whether a fault of the script is on the card."""
        return any((note.step, note.kind) == fault[:2] for note in self.visit.card.notes.values())

    def go_on(self) -> None:
        """``go`` where it leads on; wait where the step goes on by itself."""
        step = self.visit.viewing._step
        if self.visit.at(State.STEP) and step.goes_on:
            self.await_end()
        elif self.visit.at(State.MOVING) and any(f[0] == step.key and not self.noted(f) for f in self.script):
            self.visit.viewing.cue("touch", self.visit.now)
        elif self.visit.state in (State.BLACK, State.ASKED, State.READY) and self.seen(step.key):
            self.press("forward", thought=True)
        elif self.visit.state not in (State.LOAD, State.FLASHING):
            self.press("go", thought=True)
        self.visit.wait(0.5)

    def seen(self, step: str) -> bool:
        """Whether everything of a load or a movement was noted already."""
        wanted = [fault for fault in self.script if fault[0] == step]
        return bool(wanted) and all(self.noted(fault) for fault in wanted)

    def note(self, fault: Fault) -> None:
        """Open the kinds, choose, say how bad and where, keep."""
        _, kind, severity, zone = fault
        self.press("note", thought=True)
        if kind not in self.visit.viewing._choice.offered:
            for door in (MORE, MORE + self.guide.kinds[kind].group):
                self.choose(door)
                self.press("go", thought=True)
        self.choose(kind)
        for _ in range((severity - 2) % 3):
            self.press("vary")
        if zone is not None:
            self.choose_zone(zone)
        self.press("go", thought=True)
        assert self.noted(fault), fault

    def choose(self, kind: str) -> None:
        """Step to a kind the shorter way."""
        offered = self.visit.viewing._choice.offered
        ahead = offered.index(kind)
        key, times = ("forward", ahead) if ahead <= len(offered) - ahead else ("back", len(offered) - ahead)
        for _ in range(times):
            self.press(key)

    def choose_zone(self, zone: int) -> None:
        """By the pad, or by a held go and the way from the middle."""
        if self.pad:
            self.press(str(zone))
            return
        self.press("go", held=True)
        row, column = divmod(zone - 1, 3)
        for _ in range(abs(column - 1)):
            self.press("forward" if column > 1 else "back")
        for _ in range((row - 1) % 3):
            self.press("vary")


def walks() -> list[Walk]:
    """All twenty, walked."""
    return [Walk(script, pad=bool(n % 2)).run() for n, script in enumerate(SCRIPTS)]


if __name__ == "__main__":
    print("findings  presses  hand s  whole min")
    for walk in walks():
        minutes = walk.visit.now / 60
        print(f"{len(walk.script):8}  {walk.visit.presses:7}  {walk.hand:6.0f}  {minutes:9.1f}")
