"""Scripts of a rehearsal: one event a line, in simulated seconds from the first picture.

0    show white        # go straight to a pattern, or pattern:variant
0    soak short        # a soak begins: its cautions are taken for read, and go for held
0    view glance       # a viewing begins, at its opening card
1    press go          # down, and up again a tenth of a second later
3.2  hold note 1.5     # down for so many seconds
4    down go
5    up go
600  cut               # the power goes: nothing is said to the box
605  power             # and comes back
20   end               # without it: a minute after the last event, or after the time of a soak that nothing held up
"""

from collections.abc import Iterator
from functools import cache
from math import isfinite
from pathlib import Path
from typing import NamedTuple

from appliance.errors import Refused
from appliance.patterns.catalogue import find_pattern
from appliance.presses.edges import KEYS
from appliance.routes import find_route
from appliance.soaks import find_soak

AFTER = 60.0
"""Seconds from the last event to the end of a script that names none: what moves or blinks would never end."""
SOAK_START = 30.0
"""Seconds that a soak is dim before its first phase."""
PRESS_TIME = 0.1
"""Seconds a key is down in a plain press."""
EVENTS = "show PATTERN[:VARIANT], soak NAME, view NAME, press KEY, hold KEY SECONDS, down KEY, up KEY, cut, power, end"


class Event(NamedTuple):
    """Something the outside world does at a time: ``what`` is ``down``, ``up``, ``show``, ``soak``, ``view``,
    ``cut``, ``power`` or ``end``."""

    at: float
    what: str
    target: str = ""


class _Fault(Exception):
    pass


def read_script(path: Path) -> list[Event]:
    """The events of a script in order of time; raises :class:`Refused` with file and line."""
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise Refused(f"{path}: cannot be read as a script ({getattr(error, 'strerror', None) or 'no text'})") from None
    return parse_script(text, str(path))


def parse_script(text: str, name: str) -> list[Event]:
    """The events of a script's text; raises :class:`Refused` as ``name:line: what is wrong, what is allowed``."""
    events: list[Event] = []
    for number, line in enumerate(text.splitlines(), 1):
        words = line.partition("#")[0].split()
        try:
            events += _events(words) if words else []
        except (_Fault, Refused) as fault:
            raise Refused(f"{name}:{number}: {fault}") from None
    if not events:
        raise Refused(f"{name}:1: the script has no event; it takes {EVENTS}, each after a time")
    events.sort(key=lambda event: event.at)
    return events if any(event.what == "end" for event in events) else [*events, Event(_end(events), "end")]


def _end(events: list[Event]) -> float:
    """When a script that says no end has one: what moves or blinks would go on for ever.

    A soak is given its time from where it began; what holds one up, a cut or a look, needs an ``end`` of its own.
    """
    soaks = [event.at + SOAK_START + find_soak(event.target).total for event in events if event.what == "soak"]
    return max([events[-1].at, *soaks]) + AFTER


def _events(words: list[str]) -> Iterator[Event]:
    at = _number(words[0], "time")
    match words[1:]:
        case ["end"]:
            yield Event(at, "end")
        case ["show", name]:
            entry, variant = find_pattern(name)
            yield Event(at, "show", f"{entry.key}:{variant}")
        case ["soak", name]:
            find_soak(name)
            yield Event(at, "soak", name)
        case ["view", name]:
            _check_route(name)
            yield Event(at, "view", name)
        case ["cut" | "power" as what]:
            yield Event(at, what)
        case ["press", key]:
            yield from _down_up(at, key, PRESS_TIME)
        case ["hold", key, seconds]:
            yield from _down_up(at, key, _number(seconds, "holding time"))
        case ["down" | "up" as what, key]:
            yield Event(at, what, _key(key))
        case rest:
            raise _Fault(f"{' '.join(rest) or 'nothing'!r}: no event; there are {EVENTS}")


@cache
def _check_route(name: str) -> None:
    find_route(name)


def _down_up(at: float, key: str, seconds: float) -> Iterator[Event]:
    yield Event(at, "down", _key(key))
    yield Event(at + seconds, "up", key)


def _key(name: str) -> str:
    if name not in KEYS:
        raise _Fault(f"key {name!r}: unknown; there are {', '.join(KEYS)}")
    return name


def _number(text: str, what: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not (isfinite(value) and 0 <= value <= 10**7):
        raise _Fault(f"{what} {text!r}: a number of seconds from 0 to {10**7} is wanted")
    return value
