"""The drawings of a soak's sheet as plain shapes: one lane for each picture, one for waiting, one for people.

Lengths are in units of the drawing, :data:`WIDTH` across. Across is the time the box ran; a gap of fixed width stands
for each time it was off. The template draws the shapes; nothing here is markup.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import accumulate, groupby

from appliance.records.entries import Beat, Moment
from appliance.records.report_facts import Story, printable
from appliance.records.report_health import known
from appliance.records.report_spans import Kind, Span
from appliance.records.report_time import Course

WIDTH, LEFT, RIGHT = 720, 176, 710
LANE = 18
GAP = 16
MOST_PICTURES, NAME_WIDTH = 14, 176
WAITING, OTHERS = "waiting", "other pictures"
_STEPS = (10, 30, 60, 300, 600, 900, 1800, 3600, 7200, 14_400, 86_400, 604_800)
_HEAT_TOP, _HEAT_LOW, _VOLTS = 8, 96, 116
_STYLES = {
    Kind.SHOWN: "shown", Kind.DIM: "dim", Kind.REST: "rest", Kind.SWITCH: "waits", Kind.PAUSED: "waits",
    Kind.BLACK: "black", Kind.ABSENT: "absent", Kind.WAITING: "waits",
}  # fmt: skip


@dataclass(frozen=True)
class Box:
    """A bar in a lane, or a column through all of them; ``style`` names how it is filled."""

    x: float
    y: float
    width: float
    height: float
    style: str
    label: str


@dataclass(frozen=True)
class Mark:
    """A small shape of a kind at a place, or a line across with its words."""

    x: float
    y: float
    kind: str
    label: str


@dataclass(frozen=True)
class Drawing:
    """Shapes of one drawing; ``curves`` are points as SVG's ``polyline`` takes them."""

    height: float
    lanes: tuple[Mark, ...]
    bars: tuple[Box, ...]
    marks: tuple[Mark, ...]
    ticks: tuple[Mark, ...]
    curves: tuple[str, ...] = ()


class Across:
    """From a moment to a place across the drawing."""

    def __init__(self, course: Course) -> None:
        self._course = course
        gap = min(GAP, (RIGHT - LEFT) / 2 / len(course.boots))  # many cuts still leave half of it for what ran
        self._gap, self._scale = gap, (RIGHT - LEFT - gap * (len(course.boots) - 1)) / max(course.length, 1.0)

    def __call__(self, moment: Moment) -> float:
        return self._at(self._course.ran(moment), self._course.boot_of(moment))

    def tick(self, ran: float) -> float:
        """The place where the box had run so long."""
        return self._at(ran, self._course.boot_at(ran))

    def _at(self, ran: float, boot: int) -> float:
        return round(LEFT + self._scale * ran + self._gap * boot, 1)


def timeline(story: Story) -> Drawing:
    """What was up, what kept it, who looked."""
    across, names = Across(story.course), _lanes(story.spans)
    rows = {name: 4.0 + LANE * n for n, name in enumerate((*names, "a person"))}
    bottom = 4.0 + LANE * len(rows)
    bars = (*_columns(story.spans, across, bottom), *_bars(story, across, rows))
    lanes = tuple(Mark(LEFT - 8, y + 13, "", _short(name)) for name, y in rows.items())
    marks = (*_marks(story, across, rows["a person"] + LANE / 2), _end(story, across, bottom))
    return Drawing(bottom + 24, lanes, bars, marks, _ticks(story.course, across, bottom + 14))


def health_curve(story: Story, hot: float) -> Drawing | None:
    """Temperature over time with a line at ``hot`` °C, and when the voltage was low; None when neither was told."""
    beats = [beat for beat in story.record.beats if known(beat.celsius) or beat.undervoltage is not None]
    if not beats:
        return None
    across = Across(story.course)
    low, high = _bounds([beat.celsius for beat in beats if known(beat.celsius)])

    def height(celsius: float) -> float:
        return round(_HEAT_LOW - (_HEAT_LOW - _HEAT_TOP) * (celsius - low) / (high - low), 1)

    warm = any(known(beat.celsius) for beat in beats)
    levels = range(low, high + 1, max((high - low) // 40 * 10, 10)) if warm else ()
    lanes = [Mark(LEFT - 8, height(n), "level", f"{n} °C") for n in levels]
    lanes.append(Mark(LEFT - 8, _VOLTS, "", "voltage too low"))
    bars = [Box(across(beat.moment), _VOLTS - 8, 2, 8, "low", "voltage too low") for beat in beats if beat.undervoltage]
    line = [Mark(LEFT, height(hot), "hot", f"too hot, from {hot:.0f} °C on")] if warm and low < hot <= high else []
    curves = tuple(_curves(beats, across, height))
    ticks = _ticks(story.course, across, _VOLTS + 20)
    return Drawing(_VOLTS + 28, tuple(lanes), tuple(bars), tuple(line), ticks, curves)


def _lanes(spans: Iterable[Span]) -> list[str]:
    """Names of the lanes in the order of their first use; the waiting lane last."""
    names = list(dict.fromkeys(_lane(span) for span in spans if span.kind is not Kind.CUT))
    pictures = [name for name in names if name != WAITING]
    kept = [name for name in pictures if name in (Kind.DIM, Kind.REST)] + pictures
    many = dict.fromkeys(kept[:MOST_PICTURES] if len(kept) > MOST_PICTURES else kept)
    named = [name for name in pictures if name in many]
    return named + ([OTHERS] if len(named) < len(pictures) else []) + ([WAITING] if WAITING in names else [])


def _lane(span: Span) -> str:
    if span.kind is Kind.SHOWN:
        return printable(span.words) or "a picture"
    return str(span.kind) if span.kind in (Kind.DIM, Kind.REST) else WAITING


def _bars(story: Story, across: Across, rows: dict[str, float]) -> Iterator[Box]:
    for span in story.spans:
        if span.kind is not Kind.CUT:
            y = rows.get(_lane(span), rows.get(OTHERS, 0.0))
            label = f"{span.kind}: {span.words}" if span.words else str(span.kind)
            yield _box(span, across, y + 3, LANE - 6, _style(span, story), label)


def _style(span: Span, story: Story) -> str:
    return "bright" if span.kind is Kind.SHOWN and printable(span.words) in story.bright else _STYLES[span.kind]


def _columns(spans: Iterable[Span], across: Across, bottom: float) -> Iterator[Box]:
    for span in spans:
        if span.kind is Kind.CUT:
            yield _box(span, across, 2, bottom - 2, "off", str(span.kind))


def _box(span: Span, across: Across, y: float, height: float, style: str, label: str) -> Box:
    begun, ended = across(span.begun), across(span.ended)
    return Box(begun, y, max(round(ended - begun, 1), 1.0), height, style, printable(label))


def _marks(story: Story, across: Across, y: float) -> Iterator[Mark]:
    for look in story.looks:
        yield Mark(across(look.event.moment), y, "look" if look.taken else "missed", f"look at {look.minute} min")
    for event in story.observations:
        yield Mark(across(event.moment), y, "note", printable(event.words))
    for event in story.record.events:
        if event.kind in ("started", "resumed", "back", "skipped"):
            yield Mark(across(event.moment), y, "key", printable(f"{event.kind} {event.words}"))


def _end(story: Story, across: Across, bottom: float) -> Mark:
    if story.record.ended:
        return Mark(across(story.record.ended), bottom, "end", "end")
    return Mark(across(story.course.last_sign().moment), bottom, "last", "last sign of life")


def _ticks(course: Course, across: Across, y: float) -> tuple[Mark, ...]:
    step = next((step for step in _STEPS if course.length / step <= 8), course.length / 8)
    count = int(course.length / step)
    return tuple(Mark(across.tick(n * step), y, "tick", _tick(n * step, step)) for n in range(count + 1))


def _tick(seconds: float, step: float) -> str:
    whole = int(seconds)
    return f"{whole // 3600}:{whole // 60 % 60:02}" + (f":{whole % 60:02}" if step < 60 else "")


def _short(name: str) -> str:
    """As much of a name as fits beside its lane, whatever its letters; cut ones end in an ellipsis."""
    ends = accumulate(_width(letter) for letter in name)
    fitting = sum(end <= NAME_WIDTH for end in ends)
    return name if fitting == len(name) else f"{name[: fitting - 1]}…"


def _width(letter: str) -> float:
    """At least what a letter takes in the drawing's lettering."""
    wide = letter.isupper() or not letter.isascii() or letter in "mw%@"
    return 11.0 if wide else 6.6


def _bounds(heats: list[float | None]) -> tuple[int, int]:
    """Whole tens around them, at least 30 apart."""
    known_ones = [heat for heat in heats if heat is not None] or [0.0]
    low = int(min(known_ones) // 10 * 10)
    return low, max(int(-(-max(known_ones) // 10) * 10), low + 30)


def _curves(beats: list[Beat], across: Across, height: Callable[[float], float]) -> Iterator[str]:
    """A line for each boot: nothing is drawn over what nobody measured."""
    for _, one in groupby(beats, key=lambda beat: beat.moment.boot):
        points = [(across(beat.moment), beat.celsius) for beat in one]
        yield " ".join(f"{x},{height(heat)}" for x, heat in points if heat is not None and known(heat))
