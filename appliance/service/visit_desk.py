"""What the news of a visit are in the records, and the last visits as the box shows them. In the backroom alone."""

from appliance.activities.kept import PastVisit, VisitBegun, VisitEntry
from appliance.activities.viewing_record import Described, Ended, Marked, Noted, TakenBack
from appliance.records.entries import StepState
from appliance.records.outcome import kept_steps
from appliance.records.visits import Visits
from appliance.service.past_pages import past_pages


class VisitDesk:
    """Knows the number that each visit of this run was given, by the time at which it began."""

    def __init__(self) -> None:
        self._numbers: dict[float, int] = {}
        self._low: set[int] = set()

    @property
    def empty(self) -> bool:
        """Whether no visit of this run was begun."""
        return not self._numbers

    def put(self, visits: Visits, record: VisitBegun | VisitEntry, *, box_low: bool) -> int | None:
        """Keep it, once: what was kept before changes nothing. The visit's number; None for what cannot be kept yet.

        That is news of a visit whose beginning is not kept, and the taking back of a note that is not. Raises
        :class:`StoreTrouble` as the records do.
        """
        if isinstance(record, VisitBegun):
            number = self._begin(visits, record)
        else:
            known = record.visit or self._numbers.get(record.begun)
            if known is None or not _put(visits, known, record):
                return None
            number = known
        if box_low and number not in self._low:
            visits.mark_low(number)
            self._low.add(number)
        return number

    def _begin(self, visits: Visits, record: VisitBegun) -> int:
        route = record.route
        number = visits.begin("", route.name, record.at, title=route.title, steps=kept_steps(route), once=True)
        self._numbers[record.at] = number
        return number


def past_visits(visits: Visits, most: int) -> tuple[PastVisit, ...]:
    """The last visits, latest first, in pages for the screen; raises :class:`StoreTrouble`."""
    whole = (visits.one(record.id) for record in visits.last(most))
    return tuple(past_pages(record) for record in whole if record)


def _put(visits: Visits, number: int, entry: VisitEntry) -> bool:
    match entry.news:
        case Described(_, _, path, warmth):
            visits.describe(number, path=path, warmth=warmth)
        case Marked(_, at, place, state):
            visits.mark_step(number, place, StepState.LOOKED if state == "looked" else StepState.SKIPPED, at)
        case Noted() as note:
            visits.add_finding(number, note.at, note.step, note.kind, note.severity, note.zone, note.title, note.number)
        case TakenBack(_, _, note_number):
            return visits.take_back(number, note_number)
        case Ended(_, at, how):
            visits.end(number, at, how)
    return True
