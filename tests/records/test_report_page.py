"""The sheet as a page: well-formed, the same words as its JSON, and hostile text in every field stays text."""

import json
import os
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC
from functools import cache
from typing import Any

import html5lib
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from appliance.records.entries import Beat, EventRecord, Moment, SoakRecord
from appliance.records.report import as_json, as_page
from appliance.records.report_facts import printable
from tests.records.pages import HOSTILE, Shape, outside, parsed, shape, text_of
from tests.records.test_report import PLAN, WHOLE, at, cut, record

RECORDS_MADE = int(os.environ.get("FIELDMOUSE_RECORDS", "12"))


def filled_with(text: str) -> SoakRecord:
    """A record whose every field that holds words holds this text, and a cut in it."""
    plan = {"phases": [{"pattern": text, "variant": text, "words": text, "seconds": 600, "bright": True}], "looks": [2]}
    made = cut(lambda seconds: at(seconds, f"b{text}", None))
    events = [
        *made.events[:2],
        EventRecord(3, "observation", at(100), 60, 0, text),
        EventRecord(4, "look", at(120), 90, 0, f"2 min: {text}"),
        EventRecord(5, "look", at(120), 90, 0, f"2 min: 1 of 11 looked at, 1 different; not seen: {text}"),
        EventRecord(6, "look", at(130), 90, 0, text),
        EventRecord(7, "skipped", at(140), 90, 0, text),
        EventRecord(8, "warned", at(145), 90, 0, text),
        EventRecord(8, "paused", at(150), 90, 0, text),
        EventRecord(9, "phase", at(160), 90, 0, text),
        EventRecord(10, text, at(170), 90, 0, text),
        *(replace(event, number=event.number + 8) for event in made.events[2:-1]),
        EventRecord(20, "ended", made.events[-1].moment, 610, 1, text),
    ]
    return replace(made, name=text, title=text, plan=json.dumps(plan), how=text, events=tuple(events))


@cache
def harmless() -> Shape:
    """What harmless words make."""
    return shape(as_page(filled_with("harmless"), 80, UTC))


@pytest.mark.parametrize("text", HOSTILE, ids=lambda text: ascii(text)[:24])
def test_hostile_text_stays_text(text: str) -> None:
    """The page has exactly the elements and attributes that harmless words give it, and the text is there to read."""
    page = as_page(filled_with(text), 80, UTC)
    page.encode("utf-8")
    assert shape(page) == harmless()
    assert text_of(page, " ").count(printable(text)) >= 8


def test_the_test_would_see_markup() -> None:
    """The same check on a page in which one text was let through as markup fails."""
    page = as_page(filled_with("harmless"), 80, UTC)
    assert shape(page.replace("<h1>harmless", "<h1><b>harmless</b>")) != shape(page)
    with pytest.raises(html5lib.html5parser.ParseError):
        parsed(page.replace("</svg>", "", 1))


WHEN = st.one_of(st.floats(), st.floats(0, 30_000), st.sampled_from([0.0, 60.0, float("inf")]))
MOMENTS = st.builds(Moment, st.sampled_from("abc"), WHEN, st.one_of(WHEN, st.floats(1.6e9, 1.9e9)), st.booleans())
KINDS = st.one_of(st.sampled_from(["started", "phase", "paused", "resumed", "skipped", "observation", "look", "absent",
                                   "back", "ended", "cut"]), st.text(max_size=5))  # fmt: skip
WORDS = st.one_of(
    st.text(max_size=30),
    st.sampled_from([said for *_, said in WHOLE]),
    st.from_regex(r"[0-9]{1,4} min: [0-9]{1,5} of [0-9]{1,5} looked at, [0-9] different", fullmatch=True),
)
NUMBERS = st.integers(-(2**63), 2**63 - 1)
EVENTS = st.lists(st.builds(EventRecord, NUMBERS, KINDS, MOMENTS, WHEN, NUMBERS, WORDS), max_size=12)
BEATS = st.lists(st.builds(Beat, MOMENTS, WHEN, NUMBERS, st.none() | WHEN, st.none() | st.booleans()), max_size=6)
RECORDS = st.builds(
    SoakRecord, NUMBERS, WORDS, WORDS, st.sampled_from([PLAN, "", "{}"]) | st.text(max_size=20), MOMENTS,
    st.none() | MOMENTS, WORDS, st.none(), EVENTS.map(tuple), BEATS.map(tuple), st.integers(0, 2**63 - 1),
)  # fmt: skip


def without_nan_in_words(made: SoakRecord) -> SoakRecord:
    """The same record; where its own words say nan, as a title may, they say something else."""

    def other(words: str) -> str:
        return re.sub("nan", "n-n", words, flags=re.IGNORECASE)

    events = tuple(replace(event, kind=other(event.kind), words=other(event.words)) for event in made.events)
    return replace(made, name=other(made.name), title=other(made.title), how=other(made.how), events=events)


@settings(max_examples=RECORDS_MADE, deadline=None)
@given(RECORDS)
@example(record(*WHOLE, title="NAN"))
def test_any_record_makes_a_page(made: SoakRecord) -> None:
    """Whatever a disk holds, clocks that run backwards: a well-formed page, valid JSON, and in neither a number nan."""
    parsed(as_page(made, 80, UTC))
    assert "nan" not in as_page(without_nan_in_words(made), 80, UTC).lower()
    json.loads(as_json(made, UTC), parse_constant=pytest.fail)


def strings(told: Any) -> Iterator[str]:
    """Every text in a JSON value."""
    if isinstance(told, str):
        yield told
    for value in told.values() if isinstance(told, dict) else told if isinstance(told, list) else ():
        yield from strings(value)


@pytest.mark.parametrize(
    "made", [record(*WHOLE, ended=at(1700)), cut(lambda seconds: at(seconds, "b", None)), record()]
)
def test_the_page_mirrors_the_json(made: SoakRecord) -> None:
    """Every word of the JSON's sheet is on the page, and its log has every event."""
    told = json.loads(as_json(made, UTC))
    text = text_of(as_page(made, 80, UTC), " ")
    assert len(told.pop("log")) == len(made.events)
    assert [words for words in strings(told) if words not in text] == []


def test_the_page_needs_nothing_else() -> None:
    """No script, no link, nothing fetched: it can be mailed, kept and printed."""
    page = as_page(record(*WHOLE, ended=at(1700)), 80, UTC)
    assert outside(page) == []
    assert "@page { size: A4" in page
