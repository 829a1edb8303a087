"""What the news of a visit are in the records, and the last visits as the box shows them. In the backroom alone."""

from collections.abc import Iterator

from appliance.activities.kept import PastVisit, VisitBegun, VisitEntry
from appliance.activities.viewing_plan import PATHS, WARMTHS
from appliance.activities.viewing_record import Described, Ended, Marked, Noted, TakenBack
from appliance.errors import Refused
from appliance.findings import fits_everywhere
from appliance.records import saying
from appliance.records.entries import Finding, StepState, VisitRecord
from appliance.records.outcome import kept_steps
from appliance.records.visits import Visits


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
    """The last visits, latest first, in lines for the screen; raises :class:`StoreTrouble`."""
    return tuple(_past(record) for record in visits.last(most))


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


def _past(record: VisitRecord) -> PastVisit:
    route = saying.route(record)
    known = [words for words in (record.warmth if record.warmth in WARMTHS else "", PATHS.get(record.path)) if words]
    what = _line(f"Visit {record.id}: {route}", f"{record.id}: {route}"), ", ".join(known) or "left at its card"
    if not record.noted:
        return PastVisit(what, (f"Visit {record.id}", "nothing noted"))
    worst = max(record.noted, key=lambda finding: finding.severity)
    head = f"{record.id}: {len(record.noted)} noted, worst {saying.severity(worst)}"
    return PastVisit(what, (_line(head), _line(_name(worst))))


def _name(finding: Finding) -> str:
    return saying.kind(finding, {})


def _line(*wordings: str) -> str:
    """The first wording that fits every format; else as much of the last as does."""
    return next(line for line in (*wordings, *_shorter(wordings[-1])) if _fits(line))


def _shorter(words: str) -> Iterator[str]:
    plain = "".join(letter if letter.isascii() else "?" for letter in words)
    yield from (plain[:length].rstrip() for length in range(len(plain), 0, -1))
    yield "?"


def _fits(line: str) -> bool:
    try:
        return fits_everywhere(line)
    except Refused:  # a letter that the lettering has not
        return False
