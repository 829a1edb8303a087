"""What a soak says on the screen, in lines of at most 28 characters, and what may be noted in one."""

import re
from enum import StrEnum

from appliance.activities.soak_plan import Soak, clock
from appliance.activities.soak_table import State

MINUTE = 60

OBSERVATIONS = (
    "nothing odd", "picture jumped", "size changed", "tint changed", "picture noise", "sound from set",
    "smell", "snap or flash", "line or spot only", "set went off",
)  # fmt: skip
STOPPING = frozenset({"smell", "snap or flash", "line or spot only", "set went off"})
"""What makes the soak wait, dim, once it is noted."""

CAUTIONS = (
    ("A smoke alarm that works,", "and somebody in reach."),
    ("Never leave it for the night", "Smell or smoke: unplug it."),
)
"""What is said before every soak."""


class Cause(StrEnum):
    """What cut a soak short that may be taken up again, in the log's words."""

    POWER_CUT = "power cut"
    PROGRAM_ENDED = "program ended"
    STOPPED = "the box was stopped"

    @property
    def after(self) -> str:
        """How the log says that a person took it up."""
        return f"after {self}" if self is Cause.STOPPED else f"after the {self}"


TOO_HOT = ("Box too hot: give it air", "go: on · hold note: end")
"""What is said while the soak waits for the box to cool."""

_LEFT_OUT = re.compile(r": (\d{1,6}) s left out$")


def pages(soak: Soak) -> tuple[tuple[str, str], ...]:
    """The screens before the soak starts."""
    title = (soak.title, f"{clock(soak.total)} hours, dim at first")
    return (title, *CAUTIONS, *soak.cautions, ("Hold go: the soak starts", "note: leave it"))


def progress(soak: Soak, told: float, number: int, due_look: int | None) -> tuple[str, str]:
    """What is said once a minute while it runs, at ``told`` seconds of its time and in phase ``number`` from 0."""
    place = f"Phase {number + 1} of {len(soak.phases)}" if due_look is None else "Look due: press vary"
    left = soak.total - int(told) // MINUTE * MINUTE
    return f"{clock(told)} gone · {clock(left)} left", place


def skipped(what: str, seconds: int) -> str:
    """That the last ``seconds`` of a phase were skipped."""
    return f"{what}: {seconds} s left out"


def left_out(words: str) -> int:
    """The seconds of such words; 0 of any others."""
    said = _LEFT_OUT.search(words)
    return int(said[1]) if said else 0


def complete(left: int) -> str:
    """How a soak ended that was shown to its end but for what ``left`` seconds of it were skipped."""
    return f"complete but for {left / MINUTE:.0f} min left out" if left >= MINUTE else "complete"


def lines(state: State, soak: Soak, told: float, number: int, kind: int) -> tuple[str, ...]:
    """What stands on the screen in ``state``; nothing where nothing is said, or where others say it."""
    done = clock(told)
    waiting = f"{done} of {clock(soak.total)}"
    rest = -(-int(soak.ends[number] - told) // MINUTE)
    return {
        State.CUT: (f"Cut at {waiting}", "Hold go: on · hold note: end"),
        State.WARMING: ("Dim at first.", f"Goes on at {waiting}"),
        State.PAUSED: (f"Waiting at {waiting}", "go: on · hold note: end"),
        State.ABSENT: (f"Nobody there at {done}", "Any key: the soak goes on"),
        State.NOTING: (f"Note: {OBSERVATIONS[kind]}", "go: keep · note: leave"),
        State.ENDING: (f"End the soak at {done}?", "go: end · another key: no"),
        State.RESTING: ("Switch the set off.", f"Rest: {rest} min left"),
        State.WAITING: ("Rest over: switch the set on", "and press go."),
        State.DONE: (f"The soak is over: {done}", "Any key leaves."),
    }.get(state, ())
