"""The part of a viewing that takes notes: kinds, severity, zone, taking back, danger, and what the store answers."""

from dataclasses import dataclass

from appliance.activities.table import Machine
from appliance.activities.viewing_notebook import MIDDLE, Choice, Notebook, dangers
from appliance.activities.viewing_plan import DANGER, NOT_SAID, PATHS, Guide, Kind, Step
from appliance.activities.viewing_record import Noted, Outcome, Record
from appliance.activities.viewing_table import State
from appliance.activities.viewing_words import DANGER_PAGES, FULL_WORDS, OFF_KEPT, ON_KEPT, kept_words, lost_words

MESSAGE_TIME, TURN_TIME = 4, 5
"""Seconds: a confirmation stands; a page of those that take turns."""
WORST = 3
SET_OFF = "set-off"
"""The step of a route at which the set is looked at before it is switched on."""


@dataclass(frozen=True)
class Graded(Kind):
    """A kind that ends a visit only from the severity ``danger_from`` on."""

    danger_from: int = WORST


class Careful(Notebook):
    """A notebook that knows from which severity on a kind is a danger."""

    @property
    def dangers(self) -> int:
        """How many notes are of a danger."""
        return sum(self.ends(note.kind, note.severity) for note in self.notes.values())

    @property
    def is_set_off(self) -> bool:
        """Whether all danger was seen on a set that was not switched on yet."""
        dangers = [note for note in self.notes.values() if self.ends(note.kind, note.severity)]
        return all(note.step == SET_OFF and not self.is_danger(note.kind) for note in dangers)

    def ends(self, kind: str, severity: int) -> bool:
        """Whether a kind noted so bad ends a visit."""
        known = self.guide.kinds.get(kind)
        return self.is_danger(kind) or (isinstance(known, Graded) and severity >= known.danger_from)


class Noting(Machine):
    """Moves that note; where the visit is on its route is for the machine built on this one to know."""

    def __init__(self, guide: Guide, number: int, first: State, notebook: Careful, now: float) -> None:
        super().__init__(first)
        self.guide, self.number = guide, number
        self.path, self.warmth = next(iter(PATHS)), NOT_SAID
        self._notebook = notebook
        self._choice, self._dangers = Choice((DANGER,)), Choice(dangers(guide))
        self._place, self._page, self._digit = -1, 0, ""
        self._message: tuple[str, ...] = ()
        self._since = now

    def kept(self, number: int, now: float) -> None:
        """The store has the record of that number. What to do in a danger is not hidden by its being told."""
        record = self._notebook.ledger.kept(number)
        if record is not None and (said := kept_words(record, self._notebook.title(record))):
            self._tell(self._warning(record) or said, now)

    def not_kept(self, number: int, now: float) -> None:
        """The store does not have the record of that number; it comes again."""
        record = self._notebook.ledger.lost(number, now)
        if record is not None:
            self._tell(lost_words(record, self._notebook.title(record)), now)

    def drain(self) -> list[Record]:
        """The records since the last time, and those that were not kept, once it is time to try again."""
        return self._notebook.ledger.drain()

    def rest(self) -> list[Record]:
        """All records that the store has not, and that are not on their way to it: it is the last time to ask."""
        return self._notebook.ledger.rest()

    @property
    def outcome(self) -> Outcome:
        """The visit as it stands."""
        return self._notebook.outcome(self.number, self.path, self.warmth)

    # Moves: a note

    def begin_note(self, now: float) -> None:
        """Which kind?"""
        self._choice = Choice(self.guide.likely(max(self._place, 0)))
        self._land(now)

    def open_more(self, now: float) -> None:
        """The groups of kinds, or the kinds of one."""
        severity = self._choice.severity
        self._choice = Choice(self.guide.behind(self._choice.kind) or self._choice.offered)
        self._choice.severity = severity
        self._land(now)

    def next_kind(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """The next kind."""
        self._choice.step(1)

    def kind_before(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """The kind before."""
        self._choice.step(-1)

    def change_severity(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """Plain, bad, slight."""
        self._choice.worsen()

    def take_zone(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """The zone of the pad's digit."""
        self._choice.take_zone(self._digit)

    def begin_zone(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """Where is it? The middle is offered first."""
        self._choice.zone = self._choice.zone or MIDDLE

    def leave_zone(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """All over after all."""
        self._choice.zone = None

    def next_zone(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """The zone to the right."""
        self._choice.go_across(1)

    def zone_before(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """The zone to the left."""
        self._choice.go_across(-1)

    def zone_below(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """The zone below."""
        self._choice.go_down()

    def keep_note(self, now: float) -> None:
        """Noted, and told as kept once it is; what the visit has no room for is not even noted."""
        if self._notebook.is_full:
            self._land(now)
            self._tell(FULL_WORDS, now)
            return
        self._mark("looked", now)
        title = self._note(self._choice.kind, self._choice.severity, self._choice.zone, now)
        self._land(now)
        self._tell((title, "being kept"), now)

    def take_back(self, now: float) -> None:
        """The last note counts no more."""
        note = self._notebook.take_back(now)
        self._tell((note.title, "being taken back") if note else ("Nothing to take back",), now)

    # Moves: danger

    def endanger(self, now: float) -> None:
        """Black, and away from the set."""
        self._note(DANGER, WORST, None, now)
        self._land(now)

    def keep_danger(self, now: float) -> None:
        """A kind was noted that is a danger."""
        self._note(self._choice.kind, self._choice.severity, self._choice.zone, now)
        self._land(now)

    def tell_danger(self, now: float) -> None:
        """What it was, once."""
        if any(note.kind == self._dangers.kind for note in self._notebook.notes.values()):
            self._tell((self.guide.kinds[self._dangers.kind].name, "is noted already"), now)
            return
        title = self._note(self._dangers.kind, WORST, None, now)
        self._tell((title, "being kept"), now)

    def ask_danger(self, now: float) -> None:
        """Which? Nothing is noted, nor passed over, that was not on the screen."""
        self._show_page(len(DANGER_PAGES), now)

    def next_danger(self, now: float) -> None:
        """Another danger."""
        self._dangers.step(1)
        self._show_page(len(DANGER_PAGES), now)

    def danger_before(self, now: float) -> None:
        """The danger before."""
        self._dangers.step(-1)
        self._show_page(len(DANGER_PAGES), now)

    def take_back_here(self, now: float) -> None:
        """The last note counts no more, and back to the step, where that is told: no note goes in silence."""
        self.take_back(now)
        said = self._message
        self._land(now)
        self._tell(said, now)

    def drop_message(self, now: float) -> None:  # noqa: ARG002 - every move is handed the time
        """It was told."""
        self._message = ()

    # What they have in common

    def _warning(self, record: Record) -> tuple[str, ...]:
        if self.state is not State.DANGER or not isinstance(record, Noted):
            return ()
        if self._notebook.is_set_off:
            return OFF_KEPT
        return ON_KEPT if self._notebook.dangers <= 1 else ()

    @property
    def _step(self) -> Step:
        return self.guide.route.steps[max(self._place, 0)]

    def _land(self, now: float) -> None:
        raise NotImplementedError

    def _mark(self, state: str, now: float) -> None:
        if self._place >= 0:
            self._notebook.mark(self._place + 1, state, now)

    def _note(self, kind: str, severity: int, zone: int | None, now: float) -> str:
        return self._notebook.note(kind, self._step.key, severity, zone, now).title

    def _tell(self, words: tuple[str, ...], now: float) -> None:
        self._message = words
        self.timers["message over"] = now + MESSAGE_TIME

    def _show_page(self, page: int, now: float) -> None:
        raise NotImplementedError
