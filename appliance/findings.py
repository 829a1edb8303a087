"""The kinds of fault from YAML: what each means, what mends it, and how much it weighs.

>>> load_findings(own=Path("none")).kinds["tilt"].remedy_of(1)
<Remedy.USER: 'user control'>
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache, lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Annotated

from appliance.activities.viewing_noting import Graded
from appliance.activities.viewing_plan import DANGER, Kind
from appliance.lettering.captions import fits
from appliance.patterns.catalogue import catalogue
from appliance.settings.reader import Mistake, Place, read
from appliance.settings.values import OrNone, Shaped, Truth, Whole, Word
from appliance.shipped import shipped
from appliance.video.formats import FORMATS

OWN_FILE = Path("/etc/fieldmouse/findings.yaml")
"""Kinds and words of an installed box, besides those that ship."""


class Remedy(StrEnum):
    """What mends a fault, the worst last."""

    NONE = "not a fault"
    USER = "user control"
    TRAINED = "trained person"
    REPAIR = "repair"
    PERMANENT = "permanent"

    @property
    def rank(self) -> int:
        """0 for none, 4 for permanent."""
        return list(Remedy).index(self)


SENSES = ("picture", "eye", "ear", "hand", "nose")
"""What tells a fault."""

_Text = Annotated[str, Shaped(r"[A-Za-z0-9'][ -~]{2,159}", "3 to 160 plain characters, a letter or figure first,")]
_MaybeText = Annotated[
    str | None, OrNone(Shaped(r"[A-Za-z0-9'][ -~]{2,159}", "3 to 160 plain characters, a letter or figure first"))
]
_Line = Annotated[str, Shaped(r"[A-Za-z0-9][ -~]{0,27}", "a line of 1 to 28 plain characters")]
_Name = Annotated[str, Shaped(r"[A-Za-z0-9][A-Za-z0-9/-]{0,30}", "a short name of letters, figures and hyphens,")]


@dataclass(frozen=True)
class Fault:
    """One kind of fault, as ``config/findings.yaml`` explains it; ``apart`` and ``place`` are None when not known.

    ``remedy`` and ``weight`` have one entry for each severity.
    """

    group: _Line
    name: _Line
    seen: _Text
    by: Annotated[str, Word(*SENSES)]
    patterns: tuple[_Name, ...]
    causes: _Text
    mends: _Text
    remedy: tuple[Annotated[str, Word(*Remedy)], ...]
    test: _Text
    weight: tuple[Annotated[int, Whole(1, 3)], ...]
    why: _Text
    apart: _MaybeText
    place: _MaybeText
    cautions: tuple[_Name, ...]
    danger: Annotated[bool, Truth()]
    sources: tuple[_Name, ...]

    def remedy_of(self, severity: int) -> Remedy:
        """What mends one of this severity, from 1."""
        return Remedy(self.remedy[severity - 1])

    def weight_of(self, severity: int) -> int:
        """1 slight, 2 matters, 3 leave it; for a severity from 1."""
        return self.weight[severity - 1]


@dataclass(frozen=True)
class Findings:
    """All kinds by their keys, and the words for their sources and cautions.

    ``danger_from``: the severity, from 1, from which a kind ends a visit that is no danger below it.
    """

    sources: Mapping[_Name, _Text]
    cautions: Mapping[_Name, _Text]
    danger_from: Mapping[_Name, Annotated[int, Whole(1, 3)]]
    kinds: Mapping[_Name, Fault]

    def offered(self) -> dict[str, Kind]:
        """The kinds as a viewing offers them."""
        return {key: self._offered(key, fault) for key, fault in self.kinds.items()}

    def is_danger(self, kind: str, severity: int) -> bool:
        """Whether a kind that is known ends a visit when it is noted so bad."""
        return self.kinds[kind].danger or severity >= self.danger_from.get(kind, severity + 1)

    def _offered(self, key: str, fault: Fault) -> Kind:
        if key in self.danger_from:
            return Graded(key, fault.name, fault.group, fault.danger, self.danger_from[key])
        return Kind(key, fault.name, fault.group, fault.danger)


def load_findings(own: Path = OWN_FILE) -> Findings:
    """The kinds that ship, with those of the box at ``own``, if that is there, in their place or after them.

    Raises :class:`Refused` as ``file:line: key: what is wrong, what is allowed``.
    """
    return read(own, Findings, _ours(), _check_own) if own.exists() else _ours()


@cache
def _ours() -> Findings:
    return read(shipped("config/findings.yaml"), Findings, check=_check)


NO_ADVICE = "advises to buy; what is suspect, what mends it and how much it weighs is wanted, the rest is a person's"
"""What is wrong with words of one's own that :func:`advises`."""


def advises(words: str) -> bool:
    """Whether ``words`` say "buy", which no verdict does."""
    return re.search(r"\bbuy\b", words, re.IGNORECASE) is not None


@lru_cache(maxsize=1024)
def fits_everywhere(line: str) -> bool:
    """True when ``line`` is one line of a caption in every format. Raises Refused for a character there is not."""
    return all(fits([line], fmt) for fmt in FORMATS.values())


# Checks


def _check(findings: Findings) -> Iterator[Mistake]:
    for key, fault in findings.kinds.items():
        yield from _check_severities(("kinds", key), fault)
        yield from _check_senses(("kinds", key), fault)
        yield from _check_words(("kinds", key), fault, findings)
    for key in findings.danger_from:
        if key not in findings.kinds:
            yield Mistake(("danger_from", key), "is no kind of fault")
    if DANGER not in findings.kinds or not findings.kinds[DANGER].danger:
        yield Mistake(("kinds",), f"have no {DANGER} that is a danger; the key for danger needs it")
    if sum(fault.danger for fault in findings.kinds.values()) < 2:
        yield Mistake(("kinds",), f"have no danger besides {DANGER}; at least one is wanted")


def _check_own(findings: Findings) -> Iterator[Mistake]:
    """A file of one's own may make nothing that ships less careful, nor advise to buy."""
    for name, words in _ours().cautions.items():
        if findings.cautions[name] != words:
            yield Mistake(("cautions", name), "is a caution that ships, which stays; another name is wanted")
    yield from (Mistake(("cautions", name), NO_ADVICE) for name, words in findings.cautions.items() if advises(words))
    for key, fault in findings.kinds.items():
        for field in ("causes", "mends", "test", "why", "apart", "place", "seen", "name", "group"):
            if advises(getattr(fault, field) or ""):
                yield Mistake(("kinds", key, field), NO_ADVICE)
    for key, shipped_one in _ours().kinds.items():
        if lost := [name for name in shipped_one.cautions if name not in findings.kinds[key].cautions]:
            yield Mistake(
                ("kinds", key, "cautions"), f"lack {', '.join(lost)}; those that ship stay, more may be added"
            )
        if shipped_one.danger and not findings.kinds[key].danger:
            yield Mistake(("kinds", key, "danger"), "is false, but this kind ends a visit; true is wanted, or no line")
    for key, severity in _ours().danger_from.items():
        if findings.danger_from[key] > severity:
            yield Mistake(("danger_from", key), f"is {findings.danger_from[key]}; {severity} or less is wanted")
    yield from _check(findings)


def _check_severities(place: Place, fault: Fault) -> Iterator[Mistake]:
    for name, ranks in (
        ("remedy", [Remedy(word).rank for word in fault.remedy]),
        ("weight", list(fault.weight)),
    ):
        if len(ranks) != 3:
            yield Mistake((*place, name), f"has {len(ranks)} entries; three are wanted: slight, plain, bad")
        elif any(before > after for before, after in pairwise(ranks)):
            yield Mistake((*place, name), "gets milder as the fault gets worse; the same or worse is wanted")


def _check_senses(place: Place, fault: Fault) -> Iterator[Mistake]:
    if bool(fault.patterns) != (fault.by == "picture"):
        yield Mistake((*place, "by"), f"is {fault.by!r}; picture is wanted with patterns, another sense without any")
    for n, name in enumerate(fault.patterns, 1):
        if name not in catalogue():
            what = f"is {name!r}, which is no pattern; `fieldmouse patterns` has all"
            yield Mistake((*place, "patterns", str(n)), what)


def _check_words(place: Place, fault: Fault, findings: Findings) -> Iterator[Mistake]:
    for key, line in (("group", fault.group.capitalize()), ("name", fault.name)):
        if not fits_everywhere(line):
            yield Mistake((*place, key), f"is {line!r}, too wide for the screen; fewer capitals are wanted")
    if not fault.sources:
        yield Mistake((*place, "sources"), "are empty; where does this come from? `practice` or `memory` will do")
    for field, names, there in (
        ("sources", fault.sources, findings.sources),
        ("cautions", fault.cautions, findings.cautions),
    ):
        for n, name in enumerate(names, 1):
            if name not in there:
                what = f"is {name!r}, which is not there; one of {', '.join(there)} is wanted"
                yield Mistake((*place, field, str(n)), what)
