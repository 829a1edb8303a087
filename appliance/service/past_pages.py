"""A visit of before in pages of two lines for the screen: what it was, how much was looked at, what was noted.

Page for page the same of each visit, so that like stands beside like; notes alone, for they may be read at a seller's.
"""

from collections.abc import Iterator

from appliance.activities.kept import PastVisit
from appliance.activities.viewing_plan import PATHS, WARMTHS, Page
from appliance.activities.viewing_words import NOT_SAID_WORDS
from appliance.errors import Refused
from appliance.findings import fits_everywhere
from appliance.records import saying
from appliance.records.entries import Finding, VisitRecord

MOST_KINDS = 12
"""Kinds of fault in pages of their own; who leafs through more reads the sheet."""


def past_pages(record: VisitRecord) -> PastVisit:
    """The pages of a visit with its steps."""
    own, route, number = saying.plain(record.label), saying.route(record), record.id
    name = own or route
    what = line(f"Visit {number}: {name}", f"{number}: {name}"), _signal(record)
    count = f"{number}: {len(record.noted) or 'nothing'} noted"
    seen = line(f"{count}, {route}" if own else count, count), line(saying.looked(record))
    return PastVisit((what, seen, *_kinds(record)), (line(f"{number}: no more noted"), seen[1]))


def line(*wordings: str) -> str:
    """The first wording that fits every format; else as much of the last as does."""
    return next(line for line in (*wordings, *_shorter(wordings[-1])) if _fits(line))


def _signal(record: VisitRecord) -> str:
    if record.path not in PATHS:
        return "left at its card"
    warmth = record.warmth if record.warmth in WARMTHS else NOT_SAID_WORDS
    return f"{PATHS[record.path]}, {warmth}"


def _kinds(record: VisitRecord) -> Iterator[Page]:
    """One page for each kind, with its worst severity; the worst first."""
    kinds: dict[str, list[Finding]] = {}
    for finding in sorted(record.noted, key=lambda finding: -finding.severity):
        kinds.setdefault(finding.kind, []).append(finding)
    found = list(kinds.values())
    for same in found[:MOST_KINDS]:
        places = dict.fromkeys(map(saying.place, same))
        where = saying.place(same[0]) if len(places) == 1 else f"{len(places)} places"
        yield line(f"{record.id}: {saying.severity(same[0])}, {where}"), line(saying.kind(same[0], {}))
    if more := found[MOST_KINDS:]:
        yield line(f"{record.id}: {len(more)} more kinds"), "All of them are on the sheet"


def _shorter(words: str) -> Iterator[str]:
    plain = "".join(letter if letter.isascii() else "?" for letter in words)
    yield from (plain[:length].rstrip() for length in range(len(plain), 0, -1))
    yield "?"


def _fits(words: str) -> bool:
    try:
        return fits_everywhere(words)
    except Refused:  # a letter that the lettering has not
        return False
