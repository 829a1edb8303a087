"""A visit as kept, before the rules of verdict."""

from dataclasses import dataclass

from appliance.activities.viewing_plan import DANGER, SEVERITIES
from appliance.findings import Findings, load_findings
from appliance.records import saying
from appliance.records.entries import Finding, StepState, VisitRecord
from appliance.verdict import COLD_START, Facts, Rules, Seen, Verdict, judge, load_rules


@dataclass(frozen=True)
class Knowledge:
    """What is known of faults, and the rules by which they are judged."""

    findings: Findings
    rules: Rules

    @classmethod
    def load(cls) -> "Knowledge":
        """As it ships, with the box's own. Raises :class:`Refused` when a file is wrong."""
        findings = load_findings()
        return cls(findings, load_rules(findings))


def verdict_on(record: VisitRecord, known: Knowledge) -> Verdict:
    """The verdict on a visit by all that was noted and not taken back.

    A kind that is not known (any more) goes by the words it was noted in. A visit that ended for danger is one of
    danger, also where the note of it is not among those kept: a visit holds no more than so many.
    """
    patterns = {step.step.key: step.step.pattern for step in record.steps}
    seen = tuple(
        Seen(
            _kind(finding, known),
            _severity(finding),
            finding.zone,
            finding.step,
            patterns.get(finding.step, ""),
            saying.kind(finding, known.findings.kinds),
        )
        for finding in record.noted
    )
    looked = [step.step.key for step in record.steps if step.state is StepState.LOOKED]
    if record.how == DANGER and not any(_is_danger(one, known) for one in seen):
        seen = (*seen, Seen(DANGER, len(SEVERITIES)))
    facts = Facts(seen, len(looked), len(record.steps), record.path, record.warmth, record.low, COLD_START in looked)
    return judge(facts, known.findings, known.rules)


def _kind(finding: Finding, known: Knowledge) -> str:
    return finding.kind if finding.kind in known.findings.kinds else saying.kind(finding, known.findings.kinds)


def _severity(finding: Finding) -> int:
    return min(max(finding.severity, 1), len(SEVERITIES))


def _is_danger(seen: Seen, known: Knowledge) -> bool:
    return seen.kind in known.findings.kinds and known.findings.is_danger(seen.kind, seen.severity)
