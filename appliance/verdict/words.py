"""A verdict on the screen: pages of two lines, asked for and leafed through."""

from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache

from appliance.activities.viewing_plan import Page, Route
from appliance.activities.viewing_record import Outcome
from appliance.activities.viewing_words import Judge
from appliance.findings import Findings, fits_everywhere
from appliance.verdict.judging import Reason, Verdict, facts_of, judge
from appliance.verdict.rules import Rules


def judge_for(route: Route, findings: Findings, rules: Rules, box_low: Callable[[], bool] = lambda: False) -> Judge:
    """The judge that a viewing along ``route`` is given: from its outcome to pages for the screen.

    ``box_low``: whether the box was short of voltage.
    """

    def judged(outcome: Outcome) -> tuple[Page, ...]:
        return verdict_pages(judge(facts_of(outcome, route, box_low=box_low()), findings, rules))

    return judged


# On the screen


def verdict_pages(verdict: Verdict) -> tuple[Page, ...]:
    """The verdict in pages of two lines that fit every format."""
    words = [reason_words for reason in verdict.reasons for reason_words in _reason_words(reason)]
    pages = [page for text in (verdict.headline, verdict.coverage) for page in wrapped(text)]
    lines = [line for page in pages for line in page if line]
    head = [_page(lines[n : n + 2]) for n in range(0, len(lines), 2)]
    tail = [page for text in (*words, *verdict.limits) for page in wrapped(text)]
    return (*head, *tail)


@lru_cache(maxsize=512)
def wrapped(text: str) -> tuple[Page, ...]:
    """``text`` on as many pages of two lines as it needs; each line fits every format."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and fits_everywhere(longer):
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(_page(lines[n : n + 2]) for n in range(0, len(lines), 2))


def _page(lines: Sequence[str]) -> Page:
    return lines[0], lines[1] if len(lines) > 1 else ""


def _reason_words(reason: Reason) -> Iterator[str]:
    yield reason.says
    if reason.apart:
        yield f"Suspect only: {reason.apart}, not told apart here"
