"""Soaks from YAML: read strictly, checked for what no tube and no night should be asked to bear, written out in full.

>>> find_soak("short").total
1800
"""

import difflib
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Annotated

from appliance.activities.soak_plan import Phase, Soak
from appliance.errors import Refused
from appliance.lettering.captions import fits
from appliance.patterns.catalogue import Pattern, catalogue
from appliance.settings.reader import Mistake, Place, read
from appliance.settings.values import Shaped, Truth, Whole
from appliance.shipped import shipped
from appliance.video.formats import FORMATS

LONGEST = 8 * 3600
"""Seconds of the longest soak: no soak is made for the night, when nobody smells what the set does."""
FULL_LIMIT = 60
"""Seconds a still picture at full level may stand (common practice, no document; the catalogue's own ``rest``)."""
FLAT_LIMIT = 180
"""Seconds a flat field of three quarters or more may stand (as above)."""
STILL_LIMIT = 2 * 3600
"""Seconds any one still picture but black may stand (makers' handbooks of the flat and tube sets of about 2005)."""
FLAT_LEVEL = 75

OWN_FOLDER = Path("/etc/fieldmouse/soaks")
"""Soaks of an installed box; one named as one that ships goes before it."""

_KEY = r"[A-Za-z0-9][A-Za-z0-9:/-]{0,30}"
_SECONDS = Whole(10, LONGEST, "seconds")


@dataclass(frozen=True)
class PhaseText:
    """One phase as written."""

    pattern: Annotated[str, Shaped(_KEY, "the name of a pattern, such as pan,")]
    variant: Annotated[str, Shaped(_KEY, "a variant of the pattern, such as slow,")]
    seconds: Annotated[int, _SECONDS]


@dataclass(frozen=True)
class PartText:
    """Phases, how many times over, and the seconds of rest after them (0: none)."""

    repeats: Annotated[int, Whole(1, 1000)]
    phases: tuple[PhaseText, ...]
    rest: Annotated[int, Whole(0, LONGEST, "seconds")]

    @property
    def seconds(self) -> int:
        """Seconds of the whole part."""
        return self.repeats * sum(phase.seconds for phase in self.phases) + self.rest


@dataclass(frozen=True)
class SoakText:
    """A whole file."""

    title: Annotated[str, Shaped(r"[A-Za-z0-9][ -~]{0,27}", "a line of 1 to 28 plain characters")]
    resume: Annotated[bool, Truth()]
    presence: Annotated[int, Whole(0, 60, "minutes")]
    looks: tuple[Annotated[int, Whole(1, LONGEST // 60, "minutes")], ...]
    parts: tuple[PartText, ...]

    @property
    def seconds(self) -> int:
        """Seconds of the whole."""
        return sum(part.seconds for part in self.parts)


def load_soak(path: Path) -> Soak:
    """The soak in the file at ``path``, named after it.

    Raises :class:`Refused` as ``file:line: key: what is wrong, what is allowed``.
    """
    text = read(path, SoakText, check=_check, remedy="write a title and parts with phases into it, or take it away")
    phases = tuple(_unrolled(text))
    return Soak(path.stem, text.title, phases, text.resume, text.presence, text.looks, _cautions(phases))


def find_soak(name: str, own: Path = OWN_FOLDER) -> Soak:
    """The soak ``name``: the box's own, else one that ships, or the file itself when ``name`` ends in ``.yaml``.

    Raises :class:`Refused` for an unknown name, naming those there are, and as :func:`load_soak`.
    """
    if name.endswith(".yaml"):
        return load_soak(Path(name))
    places = _places(own)
    if name not in places:
        raise Refused(f"soak {name!r}: unknown; there are {', '.join(places)}, or name a file that ends in .yaml")
    return load_soak(places[name])


def soak_names(own: Path = OWN_FOLDER) -> tuple[str, ...]:
    """The names :func:`find_soak` knows, in the order of the alphabet."""
    return tuple(_places(own))


def _places(own: Path) -> dict[str, Path]:
    found = {path.stem: path for folder in (shipped("config/soaks"), own) for path in folder.glob("*.yaml")}
    return dict(sorted(found.items()))


# Writing out


def _unrolled(text: SoakText) -> Iterator[Phase]:
    patterns = catalogue()
    for part in text.parts:
        turn = [_phase(patterns[phase.pattern], phase) for phase in part.phases]
        for _ in range(part.repeats):
            yield from turn
        if part.rest:
            yield Phase("black", "0", part.rest, moving=False, rest=True, words="rest, set off")


def _phase(entry: Pattern, phase: PhaseText) -> Phase:
    look, words = entry.family == "geometry", f"{entry.title}, {phase.variant}"
    return Phase(
        entry.key, phase.variant, phase.seconds, entry.moving, look, words=words, bright=_loads(entry, phase.variant)
    )


def _loads(entry: Pattern, variant: str) -> bool:
    """Whether any key must make it black: full level, a flat field near it, light and dark by turns."""
    return _limit(entry, variant) is not None or (entry.moving and entry.family == "supply")


def _limit(entry: Pattern, variant: str) -> float | None:
    """Seconds this bright picture may stand still, or None when it is not bright."""
    if variant in entry.bright:
        return FULL_LIMIT if entry.rest is None else min(entry.rest, FULL_LIMIT)
    flat = entry.family == "fields" and variant.isdigit() and int(variant) >= FLAT_LEVEL
    return FLAT_LIMIT if flat else None


def _cautions(phases: tuple[Phase, ...]) -> tuple[tuple[str, str], ...]:
    """What this soak in particular must be told of."""
    moving = {phase.pattern for phase in phases if phase.moving}
    families = {catalogue()[key].family for key in moving}
    stripes = ("Moving stripes can trigger", "seizures: look away.") if families & {"motion", "geometry"} else None
    turns = ("Light and dark by turns.", "Any key: black at once.") if "supply" in families else None
    return tuple(page for page in (stripes, turns) if page)


# Checks


def _check(text: SoakText) -> Iterator[Mistake]:
    mistakes = list(_check_parts(text)) + list(_check_names(text))
    yield from mistakes
    if mistakes:
        return  # the rest needs patterns that there are, and a length that can be written out
    yield from _check_title(text)
    yield from _check_looks(text)
    yield from _check_stills(text)


def _check_parts(text: SoakText) -> Iterator[Mistake]:
    if not text.parts:
        yield Mistake(("parts",), "are empty; at least one part with a phase is wanted")
    for n, part in enumerate(text.parts, 1):
        if not part.phases:
            yield Mistake(("parts", str(n), "phases"), "are empty; at least one phase is wanted")
    if text.parts and text.parts[-1].rest:
        rest = ("parts", str(len(text.parts)), "rest")
        yield Mistake(rest, f"is {text.parts[-1].rest} after the last part; 0 is wanted, since nothing comes after it")
    if any(0 < part.rest < 60 for part in text.parts):
        n = next(n for n, part in enumerate(text.parts, 1) if 0 < part.rest < 60)
        yield Mistake(("parts", str(n), "rest"), "is no rest; at least 60 seconds are wanted, or 0 for none")
    if text.seconds > LONGEST:
        hours = text.seconds / 3600
        why = "no soak is made for the night, when nobody is there to smell or hear the set"
        yield Mistake(("parts",), f"last {hours:.1f} hours; at most {LONGEST // 3600} are wanted: {why}")


def _check_names(text: SoakText) -> Iterator[Mistake]:
    patterns = catalogue()
    for place, phase in _written(text):
        entry = patterns.get(phase.pattern)
        if entry is None:
            near = difflib.get_close_matches(phase.pattern, patterns, 1, 0.0)[0]
            what = f"is {phase.pattern!r}, which there is not; the nearest is {near}, and `fieldmouse patterns` has all"
            yield Mistake((*place, "pattern"), what)
        elif entry.sounding:
            yield Mistake((*place, "pattern"), f"is {phase.pattern!r}, but a soak makes no sound; take another")
        elif phase.variant not in entry.variants:
            what = f"is {phase.variant!r}, which {entry.key} has not; one of {', '.join(entry.variants)} is wanted"
            yield Mistake((*place, "variant"), what)


def _check_title(text: SoakText) -> Iterator[Mistake]:
    if not all(fits([text.title], fmt) for fmt in FORMATS.values()):
        yield Mistake(("title",), f"is {text.title!r}, too wide for the screen; fewer capitals and figures are wanted")


def _check_looks(text: SoakText) -> Iterator[Mistake]:
    for n, (before, look) in enumerate(pairwise((0, *text.looks)), 1):
        if look <= before:
            yield Mistake(("looks", str(n)), f"is {look} after {before}; later and later minutes are wanted")
        if look * 60 > text.seconds:
            yield Mistake(("looks", str(n)), f"is {look}, but the soak ends at {text.seconds // 60} minutes")


def _check_stills(text: SoakText) -> Iterator[Mistake]:
    """The first phase that makes something stand too long; bright stills one after the other count as one."""
    stands = _Standing()
    for place, phase in _in_order(text):
        if what := stands.too_long(phase):
            yield Mistake((*place, "seconds"), what)
            return


class _Standing:
    """How long, phase after phase, stills have stood: at full level, near it, and one and the same."""

    def __init__(self) -> None:
        self._patterns = catalogue()
        self._full = self._flat = self._same = 0
        self._last: tuple[str, str] | None = None

    def too_long(self, phase: PhaseText | None) -> str:
        """What is wrong with ``phase`` (None: a rest) after those before it; empty when nothing is."""
        if phase is None or phase.pattern == "black" or self._patterns[phase.pattern].moving:
            self._full = self._flat = self._same = 0
            self._last = None
            return ""
        limit, picture = _limit(self._patterns[phase.pattern], phase.variant), (phase.pattern, phase.variant)
        self._flat = 0 if limit is None else self._flat + phase.seconds
        self._full = 0 if limit is None or limit > FULL_LIMIT else self._full + phase.seconds
        self._same = (self._same if picture == self._last else 0) + phase.seconds
        self._last = picture
        return self._words()

    def _words(self) -> str:
        for stood, most, kind in (
            (self._full, FULL_LIMIT, "of still pictures at full level"),
            (self._flat, FLAT_LIMIT, "of still pictures near full level"),
            (self._same, STILL_LIMIT, "of one still picture"),
        ):
            if stood > most:
                return f"makes {stood} s {kind}; at most {most} are wanted, to spare the tube: put black between"
        return ""


def longest_still_bright(soak: Soak) -> int:
    """Seconds of the longest stretch of still pictures at or near full level."""
    longest = stretch = 0
    for phase in soak.phases:
        stretch = stretch + phase.seconds if phase.bright and not phase.moving else 0
        longest = max(longest, stretch)
    return longest


def _written(text: SoakText) -> Iterator[tuple[Place, PhaseText]]:
    """Each phase as it stands in the file, and where."""
    for n, part in enumerate(text.parts, 1):
        for k, phase in enumerate(part.phases, 1):
            yield ("parts", str(n), "phases", str(k)), phase


def _in_order(text: SoakText) -> Iterator[tuple[Place, PhaseText | None]]:
    """Each phase as it comes, repeats and all, and where it stands; None for a rest."""
    for n, part in enumerate(text.parts, 1):
        places = [("parts", str(n), "phases", str(k)) for k in range(1, len(part.phases) + 1)]
        for _ in range(part.repeats):
            yield from zip(places, part.phases, strict=True)
        if part.rest:
            yield ("parts", str(n)), None
