"""From findings to a verdict. Pure: the rules are handed in.

The worst remedy wins, nothing is summed up, and what was not looked at is not judged. A finding can only make a verdict
worse: rules hold by what is there, never by what is missing. It says what is suspect, what mends it and how much it
weighs; whether to take the set is for a person to say.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from appliance.activities.viewing_plan import PATHS, Route
from appliance.activities.viewing_record import Outcome
from appliance.findings import Findings, Remedy
from appliance.verdict.rules import ANY, COLD, NOT_SAID, WARM, Excuse, Rules


class Level(StrEnum):
    """What the verdict comes to, the worst last; ``EXCUSED``: the box or the signal may have done it."""

    NOTHING = "nothing noted"
    HARMLESS = "no fault noted"
    EXCUSED = "may not be the set's"
    USER = "user control"
    TRAINED = "trained person"
    REPAIR = "repair"
    PERMANENT = "permanent"
    LEAVE = "leave it"

    @property
    def rank(self) -> int:
        """0 for nothing, 7 for leave it."""
        return list(Level).index(self)


_LEVELS = dict(zip(Remedy, (Level.HARMLESS, Level.USER, Level.TRAINED, Level.REPAIR, Level.PERMANENT), strict=True))
HEADLINES = {
    Level.NOTHING: "Nothing noted",
    Level.HARMLESS: "Noted, but no fault",
    Level.EXCUSED: "Not judged: may not be the set's",
    Level.USER: "For a user control",
    Level.TRAINED: "For a trained person",
    Level.REPAIR: "For a repair",
    Level.PERMANENT: "Permanent",
    Level.LEAVE: "Leave it where it is",
}
COLD_START = "cold-start"
"""The step of a route at which the set is switched on."""
NAMELESS = "A fault without a name here"
WEIGHTS = {0: "", 1: "weighs little", 2: "matters", 3: "weighs heavily"}


@dataclass(frozen=True)
class Seen:
    """A finding: its kind, severity from 1, zone 1 to 9 or None, the step it was noted at and that step's pattern.

    ``title``: what it was called when it was noted; said of a kind that is not known any more.
    """

    kind: str
    severity: int
    zone: int | None = None
    step: str = ""
    pattern: str = ""
    title: str = ""


@dataclass(frozen=True)
class Facts:
    """A visit, as far as a verdict goes by it: ``looked`` of ``steps`` were looked at. ``path`` and ``warmth`` may be
    empty, or any word that is not known: then it was not said. ``box_low``: the box was short of voltage.
    ``start_seen``: the set was looked at as it came up.
    """

    seen: tuple[Seen, ...]
    looked: int
    steps: int
    path: str
    warmth: str
    box_low: bool = False
    start_seen: bool = False

    @property
    def cold_judged(self) -> bool:
        """Whether the set was cold, as somebody said, and was looked at as it came up."""
        return self.warmth == COLD and self.start_seen

    @property
    def warm_said(self) -> str:
        """Cold, warm, or :data:`NOT_SAID`."""
        return self.warmth if self.warmth in (COLD, WARM) else NOT_SAID

    @property
    def path_said(self) -> str:
        """One of ``PATHS``, or :data:`NOT_SAID`."""
        return self.path if self.path in PATHS else NOT_SAID

    @property
    def coverage(self) -> str:
        """How much was looked at."""
        return f"{self.looked} of {self.steps} steps looked at" if self.steps else "The steps were not kept"


@dataclass(frozen=True)
class Reason:
    """One part of a verdict: ``name`` is a line for the screen, ``says`` a sentence. ``apart``: what is not told apart
    at a viewing, or None. ``weight``: 1 to 3, 0 for no fault."""

    level: Level
    weight: int
    name: str
    says: str
    kinds: tuple[str, ...]
    apart: str | None = None
    sources: tuple[str, ...] = ()

    @property
    def suspect(self) -> bool:
        """Whether it is a suspicion, no more."""
        return self.apart is not None or "suspect" in self.says


@dataclass(frozen=True)
class Verdict:
    """``reasons``, the worst first; ``limits``: what was not judged; ``not_faults``: what is none; ``cautions``.

    ``weight``: the greatest of the reasons'. ``cold_judged``: the set was seen from cold. ``blind``: no step was looked
    at.
    """

    level: Level
    weight: int
    coverage: str
    reasons: tuple[Reason, ...]
    limits: tuple[str, ...]
    not_faults: tuple[str, ...]
    cautions: tuple[str, ...]
    cold_judged: bool
    blind: bool = False

    @property
    def headline(self) -> str:
        """The verdict in a few words; it never says more than was looked at, nor that a suspicion is proved."""
        if self.level is Level.NOTHING and self.blind:
            return "Nothing looked at"
        if self.level.rank <= Level.EXCUSED.rank:
            return HEADLINES[self.level] + ("" if self.cold_judged else ", cold start not judged")
        if self.level is Level.LEAVE:
            return HEADLINES[self.level]
        there = [reason for reason in self.reasons if reason.level is self.level]
        weight = max(reason.weight for reason in there)
        suspect = "Suspect: " if all(reason.suspect for reason in there if reason.weight == weight) else ""
        said = HEADLINES[self.level]
        said = said[0].lower() + said[1:] if suspect else said
        return f"{suspect}{said}, {WEIGHTS[weight]}"


def judge(facts: Facts, findings: Findings, rules: Rules) -> Verdict:
    """The verdict on a visit. Without a finding taken away it is never milder than with it."""
    excused = {seen: excuse for seen in facts.seen if (excuse := _excuse(seen, facts, rules))}
    counting = [seen for seen in facts.seen if seen not in excused]
    reasons = [*_by_rules(counting, findings, rules), *_by_kind(counting, findings), *_excused(excused, findings)]
    reasons.sort(key=lambda reason: (-reason.level.rank, -reason.weight))
    noted = {seen.kind for seen in facts.seen}
    return Verdict(
        level=max((reason.level for reason in reasons), key=lambda level: level.rank, default=Level.NOTHING),
        weight=max((reason.weight for reason in reasons), default=0),
        coverage=facts.coverage,
        reasons=tuple(reasons),
        limits=tuple(_limits(facts, rules)),
        not_faults=tuple(entry.says for entry in rules.not_faults if not entry.kinds or noted & set(entry.kinds)),
        cautions=tuple(_cautions(noted, findings)),
        cold_judged=facts.cold_judged,
        blind=facts.steps > 0 and not facts.looked,
    )


def facts_of(outcome: Outcome, route: Route, *, box_low: bool = False) -> Facts:
    """What a verdict goes by, of a visit along ``route``."""
    patterns = {step.key: step.pattern for step in route.steps}
    seen = tuple(
        Seen(note.kind, note.severity, note.zone, note.step, patterns.get(note.step, ""), note.title)
        for note in outcome.notes
    )
    start_seen = any(step.key == COLD_START and n in outcome.looked for n, step in enumerate(route.steps, 1))
    return Facts(seen, len(outcome.looked), outcome.steps, outcome.path, outcome.warmth, box_low, start_seen)


# Reasons


def _worst(seen: Iterable[Seen]) -> dict[str, int]:
    worst: dict[str, int] = {}
    for one in seen:
        worst[one.kind] = max(worst.get(one.kind, 0), one.severity)
    return worst


def _by_rules(seen: Sequence[Seen], findings: Findings, rules: Rules) -> Iterator[Reason]:
    worst = _worst(seen)
    for rule in rules.rules:
        if kinds := rule.kinds(worst, findings):
            level = Level.LEAVE if rule.leave else _LEVELS[Remedy(rule.remedy)]
            yield Reason(level, rule.weight, rule.name, rule.says, kinds, None, rule.sources)


def _by_kind(seen: Sequence[Seen], findings: Findings) -> Iterator[Reason]:
    said = {one.kind: one.title for one in seen if one.title}
    for kind, severity in _worst(seen).items():
        fault = findings.kinds.get(kind)
        if fault is None:
            name = said.get(kind, NAMELESS)
            yield Reason(Level.REPAIR, 2, name, f"{name}: a kind that is not known here any more", (kind,))
            continue
        if findings.is_danger(kind, severity):
            says = f"{fault.name}: a danger, off at the wall and left unplugged"
            yield Reason(Level.LEAVE, 3, fault.name, says, (kind,), fault.apart, fault.sources)
            continue
        remedy, weight = fault.remedy_of(severity), fault.weight_of(severity)
        weighs = f", {WEIGHTS[weight]}" if remedy is not Remedy.NONE else ""
        says = f"{fault.name}: {'likely ' if fault.apart else ''}{remedy}{weighs}"
        yield Reason(_LEVELS[remedy], weight if weighs else 0, fault.name, says, (kind,), fault.apart, fault.sources)


def _excuse(seen: Seen, facts: Facts, rules: Rules) -> Excuse | None:
    noted = {other.kind for other in facts.seen}
    return next(
        (
            excuse
            for excuse in rules.excuses
            if excuse.covers(seen.kind, seen.severity, seen.pattern)
            and _in_such_a_visit(excuse, facts)
            and not noted & set(excuse.unless)
        ),
        None,
    )


def _in_such_a_visit(excuse: Excuse, facts: Facts) -> bool:
    joined = facts.path_said in excuse.paths or ANY in excuse.paths
    return joined and excuse.warmth in (facts.warm_said, ANY) and (facts.box_low or not excuse.box_low)


def _excused(excused: dict[Seen, Excuse], findings: Findings) -> Iterator[Reason]:
    for excuse in dict.fromkeys(excused.values()):
        kinds = tuple(dict.fromkeys(seen.kind for seen, other in excused.items() if other == excuse))
        names = ", ".join(findings.kinds[kind].name if kind in findings.kinds else NAMELESS for kind in kinds)
        yield Reason(Level.EXCUSED, 0, names, excuse.says, kinds, None, excuse.sources)


def _limits(facts: Facts, rules: Rules) -> Iterator[str]:
    for limit in rules.limits:
        start = limit.warmth == WARM and not facts.cold_judged
        if (start or limit.warmth in (facts.warm_said, ANY)) and limit.path in (facts.path_said, ANY):
            yield limit.says


def _cautions(noted: set[str], findings: Findings) -> Iterator[str]:
    names = [name for kind in findings.kinds if kind in noted for name in findings.kinds[kind].cautions]
    for name in dict.fromkeys(names):
        yield findings.cautions[name]
