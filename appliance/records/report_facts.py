"""What the sheet of a soak says, as plain words and numbers: the page and its JSON are made of the same."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import tzinfo

from appliance.activities.soak_plan import clock
from appliance.activities.soak_words import MINUTE, STOPPING, Cause, complete, left_out
from appliance.records.entries import EventRecord, SoakRecord
from appliance.records.report_health import HealthFacts, health_facts
from appliance.records.report_looks import Look, Margin, last_at_keys, last_looked, looks, margins
from appliance.records.report_plan import Plan, read_plan
from appliance.records.report_spans import Kind, Span, spans
from appliance.records.report_time import Course, gaps, sane, spell

QUIET = 150
"""Seconds without a sign of life, one coming each minute, from which it is told."""


@dataclass(frozen=True)
class Line:
    """Something at a time: ``at`` the soak's own as 0:12, ``when`` by the wall clock, and in words."""

    at: str
    when: str
    what: str
    more: str = ""


@dataclass(frozen=True)
class Sheet:
    """All of it. ``looks``: ``what`` was looked at, and what differed. ``margins``: first and last, in percent."""

    number: int
    name: str
    title: str
    begun: str
    ended: str
    outcome: str
    ran: str
    person: str
    noted: str
    interruptions: tuple[Line, ...]
    looks: tuple[Line, ...]
    margins: tuple[Margin, ...]
    observations: tuple[Line, ...]
    health: HealthFacts
    warnings: tuple[Line, ...]
    not_seen: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class Story:
    """A record, read: what the page's words and its drawing are made from."""

    record: SoakRecord
    plan: Plan
    course: Course
    spans: tuple[Span, ...]
    looks: tuple[Look, ...]

    @property
    def observations(self) -> tuple[EventRecord, ...]:
        """What a person noted."""
        return tuple(event for event in self.record.events if event.kind == "observation")

    @property
    def bright(self) -> frozenset[str]:
        """Names of the pictures that load the set."""
        return frozenset(printable(phase.words) for phase in self.plan.phases if phase.bright)


def read_story(record: SoakRecord, zone: tzinfo | None = None) -> Story:
    """Everything that can be read from a record, whole or cut; never raises."""
    plan, course = read_plan(record.plan), Course(record, zone)
    return Story(record, plan, course, spans(record, plan, course), looks(record))


def sheet(story: Story) -> Sheet:
    """The words of a story; every text in it can stand on a page."""
    record, course = story.record, story.course
    return Sheet(
        number=record.id,
        name=printable(record.name),
        title=printable(record.title or record.name) or "A soak",
        begun=course.when(record.begun),
        ended=course.when(record.ended) if record.ended else "not ended",
        outcome=printable(_outcome(story)),
        ran=spell(course.length),
        person=printable(_person(story)),
        noted=printable(_noted(story)),
        interruptions=tuple(_interruptions(story)),
        looks=tuple(_look_line(look, course) for look in story.looks),
        margins=margins(story.looks),
        observations=tuple(_line(event, course) for event in story.observations),
        health=health_facts(record, course),
        warnings=tuple(_line(event, course) for event in record.events if event.kind == "warned"),
        not_seen=tuple(map(printable, _not_seen(story))),
        cautions=tuple(map(printable, _cautions(story))),
    )


def printable(text: str) -> str:
    """The text without what no page can hold or what would turn its letters round: a small square stands for each."""
    return "".join(letter if letter.isprintable() else "▫" for letter in " ".join(text.split()))


def _clock(elapsed: float) -> str:
    return clock(sane(elapsed))


def _of_total(elapsed: float, plan: Plan) -> str:
    return f"{_clock(elapsed)} of {_clock(plan.total)}" if plan.phases else _clock(elapsed)


def _outcome(story: Story) -> str:
    record, sign = story.record, story.course.last_sign()
    place = _of_total(sign.elapsed, story.plan)
    ends = [event.words for event in record.events if event.kind == "ended"]
    if record.ended:
        how = (ends[-1] if ends else "") or record.how or "nobody can tell how"
        # Reckoned from the log, so that it adds up with what is told below it.
        left = sum(_left_out(story))
        return f"ended at {place}: {complete(left) if left >= MINUTE and how.startswith('complete') else how}"
    if record.events and record.events[-1].words == Cause.STOPPED:
        return f"{Cause.STOPPED} at {place}, and it was not taken up again"
    if story.spans and story.spans[-1].kind is Kind.WAITING:
        return f"cut at {place}, not taken up again"
    return f"not ended: last sign of life at {place}; its power was cut, or it is still going on"


def _left_out(story: Story) -> tuple[int, int]:
    """Seconds skipped: of pictures, and of rests."""
    left = [0, 0]
    for event in story.record.events:
        if event.kind == "skipped":
            planned = story.plan.phase(event.phase)
            left[bool(planned and planned.rest)] += left_out(event.words)
    return left[0], left[1]


def _person(story: Story) -> str:
    """Nothing is said but what the log bears out: a key is no look."""
    looked, keys, course = last_looked(story.record, story.looks), last_at_keys(story.record), story.course
    said = "nobody looked, as far as the log tells"
    if looked:
        said = f"a person last looked at {_clock(looked.elapsed)} of the soak ({course.when(looked.moment)})"
    if keys and (looked is None or keys.number > looked.number):
        said += f"; last at the keys, as far as they are logged, at {_clock(keys.elapsed)}"
    return said


def _noted(story: Story) -> str:
    odd = [event.words for event in story.observations if event.words != "nothing odd"]
    changes = sum(len(look.changes) for look in story.looks)
    said = [f"{len(odd)} observed: {', '.join(dict.fromkeys(odd))}"] if odd else []
    said += [f"{changes} different in looks"] if changes else []
    taken = f"looks taken: {sum(look.taken for look in story.looks)}"
    planned = f" ({len(story.plan.looks)} planned)" if story.plan.looks else ""
    return f"{'; '.join(said) or 'nothing noted'}; {taken}{planned}"


def _line(event: EventRecord, course: Course) -> Line:
    return Line(_clock(event.elapsed), course.when(event.moment), printable(event.words))


def _look_line(look: Look, course: Course) -> Line:
    at = f"{look.minute} min" if look.minute else _clock(look.event.elapsed)
    what = f"{look.seen} of {look.items} looked at" if look.seen is not None else ", ".join(look.words)
    more = [f"first reading: {', '.join(look.firsts)}"] if look.firsts else []
    more += [", ".join(look.changes) or "nothing different"] if look.taken else []
    more += [f"not seen: {look.not_seen}"] if look.not_seen else []
    return Line(printable(at), course.when(look.event.moment), printable(what), printable("; ".join(more)))


def _interruptions(story: Story) -> Iterator[Line]:
    """What kept the plan from being shown, in order: waiting of every kind, cuts, and what was skipped."""
    found = [(span.begun, span.elapsed, _told(span), story.course.between(span.begun, span.ended))
             for span in story.spans if span.kind not in (Kind.SHOWN, Kind.REST, Kind.DIM)]  # fmt: skip
    lines = [(story.course.ran(event.moment), _line(event, story.course))
             for event in story.record.events if event.kind == "skipped"]  # fmt: skip
    lines += [(story.course.ran(begun), Line(_clock(elapsed), story.course.when(begun), printable(what), spell(length)))
              for begun, elapsed, what, length in found]  # fmt: skip
    yield from (line for _, line in sorted(lines, key=lambda item: item[0]))


def _told(span: Span) -> str:
    return f"{span.kind}: {span.words}" if span.words else str(span.kind)


def _not_seen(story: Story) -> Iterator[str]:
    record, plan, course = story.record, story.plan, story.course
    elapsed = sane(course.last_sign().elapsed)
    if not record.events:
        yield "the log has no events"
    if plan.phases and elapsed < plan.total:
        yield f"the last {spell(plan.total - elapsed)} of the plan were not shown"
    if not plan.phases:
        yield "the plan could not be read"
    pictures, rests = _left_out(story)
    if pictures:
        yield f"{spell(pictures)} of pictures left out, skipped by a key"
    if rests:
        yield f"{spell(rests)} of rest not held, skipped by a key"
    quiet = gaps(course.signs, QUIET)
    yield from (f"at {_clock(sign.elapsed)}: no sign of life for {spell(away)}" for sign, away in quiet)
    taken = {look.minute for look in story.looks if look.taken}
    missed = dict.fromkeys(look.minute for look in story.looks if look.minute and look.minute not in taken)
    if missed:
        yield f"looks nobody took: at {', '.join(missed)} min"
    if record.left_out:
        yield f"{record.left_out} more events came and were only counted: the log was full"


def _cautions(story: Story) -> Iterator[str]:
    bad = dict.fromkeys(event.words for event in story.observations if event.words in STOPPING)
    if bad:
        yield (
            f"Noted in this soak: {', '.join(bad)}. Leave the set unplugged until a person trained for it has looked."
        )
    yield "The inside of a set is for people trained for it: the tube and its supply stay charged, also unplugged."
    yield "Smoke, a smell or arcing: switch off, unplug, and do not try again. Stay until the set is cold."
    yield "A soak without trouble is no promise: it tells of these hours, this picture and this mains alone."
