"""What was up from when to when, read back from a soak's events."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from appliance.activities.soak_words import STOPPING, Cause
from appliance.records.entries import EventRecord, Moment, SoakRecord
from appliance.records.report_plan import Plan
from appliance.records.report_time import Course


class Kind(StrEnum):
    """What the box was doing, in the page's words."""

    SHOWN = "picture"
    DIM = "dim start"
    REST = "rest, set off"
    SWITCH = "rest over, waiting for the set"
    PAUSED = "waiting, dim"
    BLACK = "black by a key"
    ABSENT = "nobody there, dim"
    CUT = "box off, or not running"
    WAITING = "waiting after the cut, dim"


_AFTER = {
    "started": Kind.DIM, "phase": Kind.SHOWN, "paused": Kind.PAUSED, "resumed": Kind.DIM, "absent": Kind.ABSENT,
    "back": Kind.SHOWN, "cut": Kind.WAITING, "ended": None,
}  # fmt: skip
_AFTER_WORDS: dict[tuple[str, str], Kind | None] = {
    ("paused", "black by a key"): Kind.BLACK,
    ("paused", Cause.STOPPED): None,
    ("paused", "rest over, set to be switched on"): Kind.SWITCH,
    ("resumed", "by a key"): Kind.SHOWN,
}
"""What the box does after an event of a kind, and after one of certain words."""
_SAYING = frozenset({Kind.PAUSED, Kind.ABSENT})


@dataclass(frozen=True)
class Span:
    """One stretch, begun at ``elapsed`` of the soak's time; ``words`` say more: the picture's name, or how it came."""

    kind: Kind
    words: str
    begun: Moment
    ended: Moment
    elapsed: float


def spans(record: SoakRecord, plan: Plan, course: Course) -> tuple[Span, ...]:
    """The stretches in order. A cut runs from the last sign of life to the box's next word."""
    return tuple(_Reading(record, plan, course).spans())


class _Reading:
    """Goes through the events; ``kind`` is what the box was doing since ``since``."""

    def __init__(self, record: SoakRecord, plan: Plan, course: Course) -> None:
        self._record, self._plan, self._course = record, plan, course
        self._kind: Kind | None = None
        self._words, self._picture = "", ""
        self._since, self._elapsed = record.begun, 0.0

    def spans(self) -> Iterator[Span]:
        before = self._record.begun.boot
        for event in self._record.events:
            if event.kind == "cut" or event.moment.boot != before:
                yield from self._cut(event)
            kind, words = self._after(event)
            if (kind, words) != (self._kind, self._words) or event.kind == "phase":
                yield from self._close(event.moment)
                self._open(kind, words, event)
            before = event.moment.boot
        yield from self._close(self._record.ended or self._course.last_sign().moment)

    def _cut(self, event: EventRecord) -> Iterator[Span]:
        sign, elapsed = self._course.last_sign(event.moment)
        yield from self._close(sign)
        yield Span(Kind.CUT, event.words if event.kind == "cut" else "", sign, event.moment, elapsed)

    def _close(self, moment: Moment) -> Iterator[Span]:
        # A rest that is taken up again goes on at once, with no dim start before it.
        none = self._kind is Kind.DIM and (moment.boot, moment.at) == (self._since.boot, self._since.at)
        if self._kind is not None and not none:
            yield Span(self._kind, self._words, self._since, moment, self._elapsed)
        self._kind = None

    def _open(self, kind: Kind | None, words: str, event: EventRecord) -> None:
        self._kind, self._words, self._since, self._elapsed = kind, words, event.moment, event.elapsed

    def _after(self, event: EventRecord) -> tuple[Kind | None, str]:
        """What the box is doing once an event has happened, and the words for it."""
        if event.kind == "observation" and event.words in STOPPING and self._kind is Kind.SHOWN:
            return Kind.PAUSED, f"noted: {event.words}"
        if event.kind not in _AFTER:
            return self._kind, self._words
        kind = _AFTER_WORDS.get((event.kind, event.words), _AFTER[event.kind])
        planned = self._plan.phase(event.phase)
        if event.kind == "phase":
            self._picture = event.words
            kind = Kind.REST if planned and planned.rest else kind
        return kind, self._picture if kind is Kind.SHOWN else event.words if kind in _SAYING else ""
