"""The pocket card: what the keys and the lamps of this very box mean, and a route, on one page to be printed."""

from dataclasses import dataclass
from pathlib import Path

from appliance import __version__
from appliance.activities.troubles import WORDS
from appliance.activities.viewing_plan import ZONES, Route, Step
from appliance.records.page import template
from appliance.records.saying import plain
from appliance.settings import Settings

TEMPLATE = Path(__file__).with_name("card.html")

KEYS = (
    ("forward", "next pattern, step or choice", "again and again"),
    ("back", "the one before", "again and again"),
    ("go", "start or stop; fine here, next; keep", "what to do; where; at a step: end"),
    ("vary", "next variant; how bad it is", "next family; in a viewing: DANGER"),
    ("note", "note a fault: choose it, then go", "take the last note back"),
)
"""Each key, and what it means, short and held for a second."""

PAIRS = (
    ("go and vary, 2 s", "next format; it comes back by itself unless confirmed"),
    ("go and note, 3 s", "shut down; pull the plug when no lamp blinks"),
    ("vary held at power-up", "steps the formats, the running lamp counts"),
)

LAMPS = (
    ("ready", "lit: a picture is really up"),
    ("running", "blinks while something is timed, lit when it is done"),
    ("attention", "slow: black is meant; faster: it calls; short ones: count"),
)


@dataclass(frozen=True)
class Wired:
    """A key or a lamp in words, and where it is; ``where`` is empty for one that is not wired."""

    name: str
    short: str
    held: str
    where: str


def as_page(settings: Settings, route: Route) -> str:
    """The card as HTML for one side of A4 that refers to nothing outside itself."""
    return template(TEMPLATE).render(
        keys=keys(settings),
        pairs=PAIRS,
        lamps=lamps(settings),
        counts=[(int(trouble), words) for trouble, words in WORDS.items()],
        pad=pad(settings),
        zones=list(enumerate(ZONES, 1)),
        title=plain(route.title),
        steps=[_step(step) for step in route.steps],
        version=__version__,
    )


def keys(settings: Settings) -> list[Wired]:
    """The keys there are, by GPIO line, on the pad or on an input device."""
    found = list[Wired]()
    for name, short, held in KEYS:
        places = [f"GPIO {settings.keys.single.pins[name]}"] if name in settings.keys.single.pins else []
        places += ["pad"] if settings.keys.pad.use and any(name in row for row in settings.keys.pad.layout) else []
        places += ["keyboard"] if settings.keys.devices.use and name in settings.keys.devices.keys.values() else []
        found.append(Wired(name, short, held, " or ".join(places)))
    return found


def lamps(settings: Settings) -> list[Wired]:
    """The lamps, by GPIO line."""
    pins = settings.lamps.pins
    return [Wired(name, words, "", f"GPIO {pins[name]}" if name in pins else "") for name, words in LAMPS]


def pad(settings: Settings) -> list[list[str]]:
    """The pad's keys as they lie, empty where there is no pad."""
    if not settings.keys.pad.use:
        return []
    return [[name or "" for name in row] for row in settings.keys.pad.layout]


def _step(step: Step) -> tuple[str, str, str]:
    return plain(step.title), plain(step.look), f"{step.seconds} s" if step.seconds else ""
