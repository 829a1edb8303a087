"""The rules of verdict from YAML; ``config/verdict.yaml`` explains each."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from appliance.activities.viewing_plan import PATHS
from appliance.findings import NO_ADVICE, Findings, Remedy, advises
from appliance.patterns.catalogue import catalogue
from appliance.settings.reader import Mistake, Place, read
from appliance.settings.values import Shaped, Truth, Whole, Word
from appliance.shipped import shipped

OWN_FILE = Path("/etc/fieldmouse/verdict.yaml")
"""Rules of an installed box."""

NOT_SAID = "not said"
"""Of a set's warmth or the signal's way: nobody said it, or in a word that is not known."""
ANY = "any"
WARM, COLD = "warm", "cold"

_Text = Annotated[str, Shaped(r"[A-Za-z0-9'][ -~]{2,119}", "3 to 120 plain characters, a letter or figure first,")]
_Key = Annotated[str, Shaped(r"[A-Za-z0-9][A-Za-z0-9/-]{0,30}", "a short name of letters, figures and hyphens,")]
_WARMTHS = (COLD, WARM, NOT_SAID, ANY)
_Severity = Annotated[int, Whole(1, 3)]


@dataclass(frozen=True)
class Rule:
    """What some findings together say; see ``config/verdict.yaml``."""

    name: _Key
    all: tuple[_Key, ...]
    some: tuple[_Key, ...]
    least: Annotated[int, Whole(0, 20)]
    severity: _Severity
    alone: Annotated[str, Word(*Remedy)]
    remedy: Annotated[str, Word(*Remedy)]
    weight: Annotated[int, Whole(1, 3)]
    leave: Annotated[bool, Truth()]
    sources: tuple[_Key, ...]
    says: _Text

    def kinds(self, worst: Mapping[str, int], findings: Findings) -> tuple[str, ...]:
        """The kinds that make it hold, given the worst severity noted of each kind; empty when it does not."""
        there = [kind for kind, severity in worst.items() if self._counts(kind, severity, findings)]
        some = [kind for kind in self.some if kind in there]
        holds = all(kind in there for kind in self.all) and len(some) >= self.least
        return (*self.all, *some) if holds else ()

    def _counts(self, kind: str, severity: int, findings: Findings) -> bool:
        if severity < self.severity or kind not in findings.kinds:
            return False
        return findings.kinds[kind].remedy_of(severity).rank >= Remedy(self.alone).rank


@dataclass(frozen=True)
class Excuse:
    """What may not be the set's."""

    kinds: tuple[_Key, ...]
    patterns: tuple[_Key, ...]
    paths: tuple[Annotated[str, Word(*PATHS, ANY)], ...]
    warmth: Annotated[str, Word(*_WARMTHS)]
    unless: tuple[_Key, ...]
    severity: _Severity
    box_low: Annotated[bool, Truth()]
    sources: tuple[_Key, ...]
    says: _Text

    def covers(self, kind: str, severity: int, pattern: str) -> bool:
        """Whether it is about such a finding, noted on that pattern."""
        return kind in self.kinds and severity <= self.severity and (not self.patterns or pattern in self.patterns)


@dataclass(frozen=True)
class Limit:
    """What a visit of some kind could not judge."""

    warmth: Annotated[str, Word(*_WARMTHS)]
    path: Annotated[str, Word(*PATHS, NOT_SAID, ANY)]
    says: _Text
    sources: tuple[_Key, ...]


@dataclass(frozen=True)
class NotFault:
    """What is often taken for a fault."""

    kinds: tuple[_Key, ...]
    says: _Text
    sources: tuple[_Key, ...]


@dataclass(frozen=True)
class Rules:
    """A whole file."""

    rules: tuple[Rule, ...]
    excuses: tuple[Excuse, ...]
    limits: tuple[Limit, ...]
    not_faults: tuple[NotFault, ...]


def load_rules(findings: Findings, own: Path = OWN_FILE) -> Rules:
    """The rules that ship, or the box's own in their place, list by list.

    Raises :class:`Refused` as ``file:line: key: what is wrong, what is allowed``.
    """

    def check(rules: Rules) -> Iterable[Mistake]:
        return _check(rules, findings)

    ours = read(shipped("config/verdict.yaml"), Rules, check=check)
    return read(own, Rules, ours, check) if own.exists() else ours


# Checks


def _check(rules: Rules, findings: Findings) -> Iterator[Mistake]:
    for n, rule in enumerate(rules.rules, 1):
        place = ("rules", str(n))
        yield from _check_kinds((*place, "all"), rule.all, findings)
        yield from _check_kinds((*place, "some"), rule.some, findings)
        yield from _check_sources(place, rule.sources, findings)
        if not rule.all and not rule.least:
            yield Mistake((*place, "least"), "is 0 though all is empty, so it would always hold; 1 or more is wanted")
        if rule.least > len(rule.some):
            yield Mistake((*place, "least"), f"is {rule.least}, but some has {len(rule.some)} kinds; fewer are wanted")
        if rule.remedy == Remedy.NONE:
            yield Mistake((*place, "remedy"), "is not a fault; a rule adds one, so another remedy is wanted")
    others: tuple[tuple[str, tuple[Excuse | NotFault, ...]], ...] = (
        ("excuses", rules.excuses),
        ("not_faults", rules.not_faults),
    )
    for name, entries in others:
        for n, entry in enumerate(entries, 1):
            yield from _check_kinds((name, str(n), "kinds"), entry.kinds, findings)
            yield from _check_sources((name, str(n)), entry.sources, findings)
    for n, excuse in enumerate(rules.excuses, 1):
        yield from _check_kinds(("excuses", str(n), "unless"), excuse.unless, findings)
    yield from _check_patterns(rules)
    for name, said in (*others, ("rules", rules.rules), ("limits", rules.limits)):
        yield from (Mistake((name, str(n), "says"), NO_ADVICE) for n, one in enumerate(said, 1) if advises(one.says))
    for n, limit in enumerate(rules.limits, 1):
        yield from _check_sources(("limits", str(n)), limit.sources, findings)


def _check_kinds(place: Place, kinds: tuple[str, ...], findings: Findings) -> Iterator[Mistake]:
    for n, kind in enumerate(kinds, 1):
        if kind not in findings.kinds:
            yield Mistake((*place, str(n)), f"is {kind!r}, which is no kind of fault")


def _check_sources(place: Place, sources: tuple[str, ...], findings: Findings) -> Iterator[Mistake]:
    if not sources:
        yield Mistake((*place, "sources"), "are empty; `practice` or `memory` will do")
    for n, name in enumerate(sources, 1):
        if name not in findings.sources:
            yield Mistake((*place, "sources", str(n)), f"is {name!r}; one of {', '.join(findings.sources)} is wanted")


def _check_patterns(rules: Rules) -> Iterator[Mistake]:
    for n, excuse in enumerate(rules.excuses, 1):
        for k, name in enumerate(excuse.patterns, 1):
            if name not in catalogue():
                yield Mistake(("excuses", str(n), "patterns", str(k)), f"is {name!r}, which is no pattern")
