"""What the findings of a visit mean, by rules that are data."""

from appliance.verdict.judging import COLD_START, Facts, Level, Reason, Seen, Verdict, facts_of, judge
from appliance.verdict.rules import Rules, load_rules
from appliance.verdict.words import judge_for, verdict_pages

__all__ = [
    "COLD_START", "Facts", "Level", "Reason", "Rules", "Seen", "Verdict", "facts_of", "judge", "judge_for",
    "load_rules", "verdict_pages",
]  # fmt: skip
