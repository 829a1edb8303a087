"""What a visit holds so far, and each change of it as a record for the store."""

from collections.abc import Mapping, Sequence

from appliance.activities.viewing_ledger import Ledger
from appliance.activities.viewing_plan import DANGER, MORE, MOST_NOTES, USUAL_SEVERITY, Guide, Kind
from appliance.activities.viewing_record import Described, Ended, Marked, Noted, Outcome, Record, TakenBack

MIDDLE = 5
"""The zone offered first."""


class Notebook:
    """The notes that count by their number, and what became of each step by its place from 1.

    ``last``: the highest number ever given, those of notes taken back among them; none is given twice. ``noted``: how
    many notes there ever were, those among them, too.
    A step that has a note is looked at, marked or not; one that is left after a note is marked again, so that the
    records tell it from one that was not left.
    """

    def __init__(
        self,
        guide: Guide,
        notes: Sequence[Noted] = (),
        marks: Mapping[int, str] | None = None,
        last: int = 0,
        noted: int = 0,
    ) -> None:
        self.guide, self.ledger = guide, Ledger()
        self.notes = {note.number: note for note in notes}
        self.marks = dict(marks or {})
        self._titles = {note.number: note.title for note in notes}
        self._serial = max([last, *self.notes])
        self._noted = max(noted, len(self.notes))
        self._begun = self._places(notes) - set(self.marks)
        self._again = set(self.marks)

    @property
    def is_full(self) -> bool:
        """Whether nothing but a danger may be noted any more."""
        return self._noted >= MOST_NOTES

    @property
    def dangers(self) -> int:
        """How many notes are of a danger."""
        return sum(self.is_danger(note.kind) for note in self.notes.values())

    def is_danger(self, kind: str) -> bool:
        """Whether a kind ends a visit."""
        return kind in self.guide.kinds and self.guide.kinds[kind].danger

    def outcome(self, number: int, path: str, warmth: str) -> Outcome:
        """The visit as it stands."""
        return Outcome(number, tuple(self.notes.values()), self._looked, len(self.guide.route.steps), path, warmth)

    def describe(self, path: str, warmth: str, now: float) -> None:
        """How the signal comes, and how warm the set is."""
        self._emit(Described(self._next(), now, path, warmth))

    def mark(self, place: int, state: str, now: float) -> None:
        """What became of a step; one that was looked at stays so."""
        state = "looked" if place in self._looked else state
        if self.marks.get(place) != state or place in self._again:
            self.marks[place] = state
            self._again.discard(place)
            self._emit(Marked(self._next(), now, place, state))

    def note(self, kind: str, step: str, severity: int, zone: int | None, now: float) -> Noted:
        """Another note."""
        note = Noted(self._next(), now, step, kind, severity, zone, self.guide.kinds[kind].name)
        self.notes[note.number] = note
        self._noted += 1
        self._titles[note.number] = note.title
        self._again |= self._places([note])
        self._emit(note)
        return note

    def take_back(self, now: float) -> Noted | None:
        """The last note counts no more; None when there is none. The last is told by its number, not by the store."""
        if not self.notes:
            return None
        number = max(self.notes)
        note = self.notes.pop(number)
        self._emit(TakenBack(self._next(), now, number))
        return note

    def end(self, now: float) -> None:
        """The visit is over."""
        how = "danger" if self.dangers else f"{len(self._looked)} of {len(self.guide.route.steps)} steps looked at"
        self._emit(Ended(self._next(), now, how))

    def title(self, record: Record) -> str:
        """The kind that a record is about, as people say it."""
        number = record.note if isinstance(record, TakenBack) else record.number
        return self._titles.get(number, "")

    @property
    def _looked(self) -> frozenset[int]:
        return frozenset(place for place, state in self.marks.items() if state == "looked") | self._begun

    def _places(self, notes: Sequence[Noted]) -> set[int]:
        """Of the steps at which there are ``notes``; danger is noted from anywhere, and says nothing of a step."""
        noted = {note.step for note in notes if not self.is_danger(note.kind)}
        return {place for place, step in enumerate(self.guide.route.steps, 1) if step.key in noted}

    def _next(self) -> int:
        self._serial += 1
        return self._serial

    def _emit(self, record: Record) -> None:
        self.ledger.add(record)


class Choice:
    """A note in the making: one of the kinds ``offered``, how bad, and where; None is all over."""

    def __init__(self, offered: tuple[str, ...]) -> None:
        self.offered, self.index, self.severity = offered, 0, USUAL_SEVERITY
        self.zone: int | None = None

    @property
    def kind(self) -> str:
        """The kind that would be noted."""
        return self.offered[self.index]

    @property
    def is_door(self) -> bool:
        """Whether it is no kind but the way to some."""
        return self.kind.startswith(MORE)

    def step(self, by: int) -> None:
        """Another kind, round and round."""
        self.index = (self.index + by) % len(self.offered)

    def worsen(self) -> None:
        """Plain, bad, slight."""
        self.severity = self.severity % 3 + 1

    def take_zone(self, digit: str) -> None:
        """The zone as it lies on the pad; 0 is the whole screen."""
        self.zone = int(digit) or None if digit.isdigit() else self.zone

    def go_across(self, by: int) -> None:
        """The zone to the right, or for -1 to the left, round and round in its row."""
        row, column = divmod((self.zone or MIDDLE) - 1, 3)
        self.zone = 3 * row + (column + by) % 3 + 1

    def go_down(self) -> None:
        """The zone below, the top one after the bottom."""
        self.zone = ((self.zone or MIDDLE) + 2) % 9 + 1


def dangers(guide: Guide) -> tuple[str, ...]:
    """The kinds that may be told apart once a danger was noted; that of the one press when there is no other."""
    return tuple(key for key, kind in guide.kinds.items() if _tells(kind)) or (DANGER,)


def _tells(kind: Kind) -> bool:
    return kind.danger and kind.key != DANGER
