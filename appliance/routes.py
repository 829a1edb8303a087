"""Routes of a viewing from YAML: read strictly, checked against the catalogue and the kinds of fault.

>>> find_route("glance").title
'A glance'
"""

import difflib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from appliance.activities.viewing_plan import Guide, Page, Route, Sort, Step
from appliance.errors import Refused
from appliance.findings import Findings, advises, fits_everywhere, load_findings
from appliance.patterns.catalogue import Pattern, catalogue
from appliance.patterns.registry import Sparing
from appliance.settings.reader import Mistake, Place, read
from appliance.settings.values import Shaped, Truth, Whole
from appliance.shipped import shipped

OWN_FOLDER = Path("/etc/fieldmouse/routes")
"""Routes of an installed box; one named as one that ships goes before it."""

MOST_STEPS = 60
LONGEST = 3600
"""Seconds of the longest step."""
FULL_LIMIT, FLAT_LIMIT = 60, 180
"""Seconds a picture at full level, and a flat field of three quarters or more, may be asked to stand (common practice,
as for soaks)."""
FLAT_LEVEL = 75
LIKELY = (3, 5)
"""How many kinds a step offers first: few enough to be stepped through by thumb."""

ADVICE = "advises to buy; what to look for is wanted, the rest is a person's"
"""Refused in a route of one's own, too: its lines stand on the screen as the box's own words do, often before the set's
owner, and nobody there can tell who wrote them."""

_LINE = r"[A-Za-z0-9+][ -~]{0,27}"
_Line = Annotated[str, Shaped(_LINE, "a line of 1 to 28 plain characters")]
_Key = Annotated[str, Shaped(r"[A-Za-z0-9][A-Za-z0-9:/-]{0,30}", "a short name of letters, figures and hyphens,")]


@dataclass(frozen=True)
class StepText:
    """One step as written."""

    name: _Key
    title: _Line
    look: _Line
    pattern: _Key
    variant: _Key
    seconds: Annotated[int, Whole(0, LONGEST, "seconds")]
    goes_on: Annotated[bool, Truth()]
    likely: tuple[_Key, ...]
    words: tuple[tuple[_Line, ...], ...]


@dataclass(frozen=True)
class RouteText:
    """A whole file."""

    title: _Line
    steps: tuple[StepText, ...]


def load_route(path: Path, findings: Findings) -> Route:
    """The route in the file at ``path``, named after it.

    Raises :class:`Refused` as ``file:line: key: what is wrong, what is allowed``.
    """
    text = read(path, RouteText, check=lambda route: _check(route, findings))
    return Route(path.stem, text.title, tuple(_step(step) for step in text.steps))


def find_route(name: str, own: Path = OWN_FOLDER, findings: Findings | None = None) -> Route:
    """The route ``name``: the box's own, else one that ships, or the file itself when ``name`` ends in ``.yaml``.

    Raises :class:`Refused` for an unknown name, naming those there are, and as :func:`load_route`.
    """
    known = findings or load_findings()
    if name.endswith(".yaml"):
        return load_route(Path(name), known)
    places = _places(own)
    if name not in places:
        raise Refused(f"route {name!r}: unknown; there are {', '.join(places)}, or name a file that ends in .yaml")
    return load_route(places[name], known)


def route_names(own: Path = OWN_FOLDER) -> tuple[str, ...]:
    """The names :func:`find_route` knows, in the order of the alphabet."""
    return tuple(_places(own))


def guide(name: str, own: Path = OWN_FOLDER, findings: Findings | None = None) -> Guide:
    """Everything a viewing along the route ``name`` needs to know; raises as :func:`find_route`."""
    known = findings or load_findings()
    return Guide(find_route(name, own, known), known.offered())


def _places(own: Path) -> dict[str, Path]:
    found = {path.stem: path for folder in (shipped("config/routes"), own) for path in folder.glob("*.yaml")}
    return dict(sorted(found.items()))


# Writing out


def _step(text: StepText) -> Step:
    entry = catalogue()[text.pattern]
    others = [variant for variant in entry.variants if variant != text.variant and variant not in entry.bright]
    return Step(
        key=text.name,
        title=text.title,
        look=text.look,
        pattern=text.pattern,
        variants=(text.variant, *([] if entry.sounding else others)),
        sort=_sort(entry, text.variant),
        seconds=text.seconds,
        goes_on=text.goes_on,
        likely=text.likely,
        words=tuple(_page(lines) for lines in text.words),
        caution=entry.caution,
        flashing=entry.flashing,
        dimmed=entry.dimmed,
        sparing=_sparing(entry),
        sound=text.variant if entry.sounding else "",
    )


def _sparing(entry: Pattern) -> dict[str, Sparing]:
    return {variant: sparing for variant in entry.variants if (sparing := entry.sparing(variant))}


def _page(lines: tuple[str, ...]) -> Page:
    return lines[0], lines[1] if len(lines) > 1 else ""


def _sort(entry: Pattern, variant: str) -> Sort:
    if entry.timed and variant in entry.bright:
        return Sort.LOAD
    return Sort.MOVING if entry.moving else Sort.STILL


# Checks


def _check(text: RouteText, findings: Findings) -> Iterator[Mistake]:
    if not 1 <= len(text.steps) <= MOST_STEPS:
        yield Mistake(("steps",), f"are {len(text.steps)}; 1 to {MOST_STEPS} are wanted")
    yield from _check_line(("title",), text.title)
    for n, step in enumerate(text.steps, 1):
        place = ("steps", str(n))
        if step.name in [other.name for other in text.steps[: n - 1]]:
            yield Mistake((*place, "name"), f"is {step.name!r}, as another step is; a name of its own is wanted")
        yield from _check_lines(place, step)
        yield from _check_likely(place, step, findings)
        yield from _check_picture(place, step)


def _check_lines(place: Place, step: StepText) -> Iterator[Mistake]:
    yield from _check_line((*place, "title"), step.title)
    yield from _check_line((*place, "look"), step.look)
    for n, page in enumerate(step.words, 1):
        if not 1 <= len(page) <= 2:
            yield Mistake((*place, "words", str(n)), f"has {len(page)} lines; one or two are wanted")
        for k, line in enumerate(page, 1):
            yield from _check_line((*place, "words", str(n), str(k)), line)


def _check_line(place: Place, line: str) -> Iterator[Mistake]:
    if not fits_everywhere(line):
        yield Mistake(place, f"is {line!r}, too wide for the screen; fewer capitals and figures are wanted")
    if advises(line):
        yield Mistake(place, ADVICE)


def _check_likely(place: Place, step: StepText, findings: Findings) -> Iterator[Mistake]:
    if not LIKELY[0] <= len(set(step.likely)) == len(step.likely) <= LIKELY[1]:
        few = f"{LIKELY[0]} to {LIKELY[1]}, each once"
        yield Mistake((*place, "likely"), f"has {len(step.likely)} kinds; {few}, are wanted")
    for n, kind in enumerate(step.likely, 1):
        if kind not in findings.kinds:
            near = difflib.get_close_matches(kind, findings.kinds, 1, 0.0)[0]
            what = f"is {kind!r}, which is no kind of fault; the nearest is {near}"
            yield Mistake((*place, "likely", str(n)), what)


def _check_picture(place: Place, step: StepText) -> Iterator[Mistake]:
    entry = catalogue().get(step.pattern)
    if entry is None:
        near = difflib.get_close_matches(step.pattern, catalogue(), 1, 0.0)[0]
        what = f"is {step.pattern!r}, which there is not; the nearest is {near}, and `fieldmouse patterns` has all"
        yield Mistake((*place, "pattern"), what)
    elif step.variant not in entry.variants:
        what = f"is {step.variant!r}, which {entry.key} has not; one of {', '.join(entry.variants)} is wanted"
        yield Mistake((*place, "variant"), what)
    else:
        yield from _check_time(place, step, entry)


def _check_time(place: Place, step: StepText, entry: Pattern) -> Iterator[Mistake]:
    most = _limit(entry, step.variant)
    if _sort(entry, step.variant) is Sort.LOAD and not (step.goes_on and step.seconds):
        yield Mistake((*place, "seconds"), "leave full white without an end; 1 to 60 are wanted, and goes_on: true")
    elif step.goes_on and not step.seconds:
        yield Mistake((*place, "seconds"), "is 0, though the step goes on by itself; its seconds are wanted")
    if most is not None and step.seconds > most:
        what = f"is {step.seconds}, but {entry.key} {step.variant} stands {most:g} s at most, to spare the tube"
        yield Mistake((*place, "seconds"), what)


def _limit(entry: Pattern, variant: str) -> float | None:
    """Seconds this picture may stand still, or None."""
    if variant in entry.bright and not entry.moving:
        return min(entry.rest or FULL_LIMIT, FULL_LIMIT)
    flat = entry.family == "fields" and variant.isdigit() and int(variant) >= FLAT_LEVEL
    return FLAT_LIMIT if flat else None
