"""What a viewing says on the screen, in lines of at most 28 characters."""

from collections.abc import Callable
from typing import NamedTuple

from appliance.activities.viewing_plan import ALL_OVER, MORE, MOST_NOTES, PATHS, SEVERITIES, ZONES, Page, Step
from appliance.activities.viewing_record import Described, Ended, Marked, Noted, Outcome, Record, TakenBack
from appliance.activities.viewing_table import State

WIDTH = 28

Judge = Callable[[Outcome], tuple[Page, ...]]
"""What the findings mean, in pages."""

Tally = Callable[[Outcome], tuple[str, ...]]
"""The short form of a visit, in pages of text that each make a code."""

DANGER_PAGES = (
    ("Off at the wall, now.", "Do not try it again."),
    ("Black does not make the set", "safe. Stay until it is cold."),
    ("note: summary", "hold note: it was a mistake"),
)
OFF_PAGES = (
    ("Do not switch it on.", "Leave it unplugged."),
    ("Nobody tries it before", "it was looked into."),
    DANGER_PAGES[-1],
)
"""Instead, when the danger was seen on a set that is off; as many of them."""
FULL_WORDS = (f"NOT noted: {MOST_NOTES} is the most", "hold go: end, begin another")
ON_KEPT, OFF_KEPT = ((pages[0][0], "It is noted and kept.") for pages in (DANGER_PAGES, OFF_PAGES))
"""What is told of the first danger once it is kept: what to do does not wait behind that."""
NO_CODE = ("No code: visit has no number", "It is not kept so far.")
SPARED_PAGE = ("Dimmed to spare the tube", "any key: the code again")
"""After a code has stood for as long as a still picture may."""
LAST_PAGE = ("vary: meaning · note: code", "go: done · back: look again")
LAST_PAGE_JUDGED = ("vary: notes · note: code", "go: done · back: look again")


NOT_SAID_WORDS = "warmth?"
"""Of a set that nobody called cold or warm."""


def zone_words(zone: int | None) -> str:
    """Where on the screen; ``None`` is all over."""
    return ALL_OVER if zone is None else ZONES[zone - 1]


def degree(severity: int, zone: int | None) -> str:
    """How bad and where."""
    return f"{SEVERITIES[severity - 1]}, {zone_words(zone)}"


def card_pages(number: int, path: str, warmth: str) -> tuple[Page, ...]:
    """The opening card, under its number; 0: it has none so far."""
    said = f"{PATHS[path]}, {warmth or NOT_SAID_WORDS}"
    return (
        ("Photograph this with the set" if number else "No number: not kept so far", _with(said, "go")),
        ("forward: how it is joined", "vary: cold or warm · go: on"),
    )


def ready_pages(step: Step) -> tuple[Page, ...]:
    """Before a picture moves: the caution first, if it has one."""
    caution = [(step.caution[0], step.caution[1] if len(step.caution) > 1 else "")] if step.caution else []
    return (*caution, ("go: it moves", "Any key stops it"), *step.pages)


def load_pages(step: Step) -> tuple[Page, ...]:
    """Before a load."""
    return ((f"Full white {step.seconds} s · go starts", "Any key: black at once"), *step.pages)


def note_page(name: str, severity: int, zone: int | None) -> Page:
    """A kind as it would be kept; or the door to more of them."""
    if name.startswith(MORE):
        group = name.removeprefix(MORE)
        return (group.capitalize(), "go: its kinds") if group else ("More kinds", "go: by their groups")
    return name, _with(degree(severity, zone), "go: keep", "go")


def _with(said: str, *keys: str) -> str:
    """What is said, and the first wording of its key that has room behind it."""
    lines = [f"{said} · {key}" for key in keys]
    return next((line for line in lines if len(line) <= WIDTH), said)


def end_pages(outcome: Outcome, *, danger: bool, open_records: int) -> tuple[Page, ...]:
    """What was noted, and how much was looked at; no more is said until it is asked for."""
    noted = f"{len(outcome.notes)} noted" if outcome.notes else "nothing noted"
    name = f"Visit {outcome.number}" if outcome.number else "No number"
    pages = [(f"{name}: {noted}", coverage(outcome))]
    if danger:
        pages.insert(0, ("Danger was noted.", "Leave it off at the wall."))
    if open_records:
        pages.insert(0, (f"NOT kept so far: {open_records}", "It is tried again."))
    notes = [(note.title, degree(note.severity, note.zone)) for note in outcome.notes]
    return (*pages, *notes, LAST_PAGE)


def coverage(outcome: Outcome) -> str:
    """How much was looked at."""
    return f"{len(outcome.looked)} of {outcome.steps} steps looked at"


def kept_words(record: Record, title: str) -> tuple[str, ...]:
    """The confirmation of a record that is on the card; none for what nobody waits for."""
    match record:
        case Noted():
            return record.title, f"kept: {degree(record.severity, record.zone)}"
        case TakenBack():
            return title, "taken back"
    return ()


def lost_words(record: Record, title: str) -> tuple[str, ...]:
    """What is said of a record that the card did not take."""
    what = {
        Noted: title,
        TakenBack: title,
        Marked: "What was looked at",
        Described: "The signal path",
        Ended: "The end",
    }
    return what[type(record)], "NOT kept, tried again soon"


class Said(NamedTuple):
    """What the words of a state may need.

    ``step``: the one at the place reached. ``kind``: the name of the note in the making, or a door to more. ``danger``:
    the name of a danger told. ``resume_at``: the place, from 1, at which a visit that was cut short goes on, 0 being
    its card. ``set_off``: all danger was seen before the set was switched on.
    """

    state: State
    outcome: Outcome
    step: Step
    kind: str
    severity: int
    zone: int | None
    danger: str
    resume_at: int
    set_off: bool = False


def pages(said: Said) -> tuple[Page, ...]:
    """Everything said in a state, page by page; the end has :func:`end_pages`."""
    outcome = said.outcome
    match said.state:
        case State.CARD:
            return card_pages(outcome.number, outcome.path, outcome.warmth)
        case State.CUT:
            place = f"{said.resume_at} of {outcome.steps}" if said.resume_at else "its card"
            return (
                (f"Visit {outcome.number} cut at {place}", "go: on · hold note: end it"),
                ("note: another time", "It is offered again then"),
            )
        case State.SPARED:
            return (SPARED_PAGE,)
        case State.ENDING:
            seen = f"{len(outcome.looked)} of {outcome.steps}"
            return ((f"End here? {seen} looked at", "go: end · another key: no"),)
        case State.DANGER:
            return (*(OFF_PAGES if said.set_off else DANGER_PAGES), (said.danger, "forward: other · go notes it"))
    return _step_pages(said)


def _step_pages(said: Said) -> tuple[Page, ...]:
    match said.state:
        case State.STEP:
            return said.step.pages
        case State.READY:
            return ready_pages(said.step)
        case State.ASKED:
            return load_pages(said.step)
        case State.NOTING:
            return (note_page(said.kind, said.severity, said.zone),)
        case State.ZONE:
            return ((f"Where: {zone_words(said.zone)} · go", "forward: across, vary: down"),)
    return ()
