"""Visits side by side and as plain data: like with like, nothing called absent, and nothing a spreadsheet would run."""

import csv
import io
import json
from datetime import UTC

import pytest

from appliance.records.comparing import NOT_LOOKED_AT, NOT_NOTED, compare
from appliance.records.entries import Reading, VisitRecord
from appliance.records.exporting import COLUMNS, as_csv, as_json
from tests.records.invented import MOMENT, UNSET, finding, visit
from tests.records.test_sheet import known
from tests.records.test_tally import kinds

BURNT, TURNED = "Burnt-in marks", "Picture turned"


def test_what_one_has_is_looked_for_in_the_others() -> None:
    """A fault's row says how bad and where, not noted where the step was looked at, and else not looked at."""
    one = visit([finding(1, "red", "burn-in", 3, 8), finding(2, "shape", "tilt", 1)], number=1)
    two = visit([finding(1, "red", "burn-in", 1, 1), finding(2, "red", "burn-in", 1, 3)], number=2, looked=6)
    three = visit(number=3, looked=2)
    found = compare([one, two, three], known(), UTC)
    assert [(row.name, row.cells) for row in found.faults] == [
        (BURNT, ("bad, bottom", "slight, top left; slight, top right", NOT_LOOKED_AT)),
        (TURNED, ("slight, all over", NOT_NOTED, NOT_LOOKED_AT)),
    ]
    head = {row.name: row.cells for row in found.head}
    assert head["Visit"] == ("1", "2", "3")
    assert head["Steps"] == ("4 of 6 steps looked at", "6 of 6 steps looked at", "2 of 6 steps looked at")
    assert head["Verdict"][2] == "Nothing noted, cold start not judged"
    assert found.warnings == ("What was not noted is not therefore absent.",)


def test_a_kind_that_was_renamed_is_one_fault() -> None:
    """One row, though each visit keeps the words of its time: neither is said not to have noted it."""
    one = visit([finding(1, "red", "burn-in", 3, 8, "Burn-in")], number=1)
    two = visit([finding(1, "red", "burn-in", 1, 1, BURNT)], number=2)
    found = compare([two, one], known(), UTC)
    assert [(row.name, row.cells) for row in found.faults] == [("Burn-in", ("slight, top left", "bad, bottom"))]


def test_unlike_visits_are_said_to_be() -> None:
    """Another warmth, another way of the signal or another route is told before anything is concluded."""
    found = compare([visit(), visit(number=2, warmth="warm", path="modulator")], known(), UTC)
    assert found.warnings[0] == "Not like with like: the way of the signal, warmth differ"
    assert compare([visit(), visit(warmth="warm")], known()).warnings[0] == "Not like with like: warmth differs"
    unsaid = compare([visit(number=3, warmth=""), visit(number=5, warmth="not said")], known()).warnings
    assert unsaid[0] == "Whether the set was cold or warm was not said in visit 3, 5"


@pytest.mark.parametrize("label", ["=1+1", "+1", "-1", "@x", 'a "quoted", one', "two\nlines", "ü"])
def test_a_spreadsheet_reads_words_and_runs_none(label: str) -> None:
    """A line for each finding and one for a visit without any, read back by the csv module; no cell is a formula."""
    records = [
        visit([finding(1, "red", "burn-in", 3, 8), finding(2, "red", "tilt", undone=True)], label=label),
        visit(),
    ]
    rows = list(csv.DictReader(io.StringIO(as_csv(records, kinds(), UTC), newline="")))
    assert tuple(rows[0]) == COLUMNS
    assert [(row["finding"], row["place"], row["taken back"]) for row in rows] == [
        (BURNT, "bottom", "no"), (TURNED, "all over", "yes"), ("nothing noted", "", ""),
    ]  # fmt: skip
    assert rows[0]["set"].lstrip("'") == " ".join(label.split())
    assert not any(cell[:1] in ("=", "+", "-", "@") for row in rows for cell in row.values() if cell)


def test_json_has_everything_in_words() -> None:
    """Steps, findings and readings; no time where no clock was set, and no code of the program's own."""
    record: VisitRecord = visit(
        [finding(1, "red", "burn-in", 3, 8)], readings=[Reading(1, MOMENT, "left", 1.5, "%", None)]
    )
    (told,) = json.loads(as_json([record], kinds(), UTC))
    assert told["begun"] == "2025-11-13 02:13"
    assert told["steps"][4] == {"title": "Sockets and controls", "state": "skipped"}
    assert told["findings"] == [
        {"step": "Red", "finding": BURNT, "severity": "bad", "place": "bottom", "zone": 8, "taken back": False}
    ]
    assert told["readings"] == [{"gauge": "left", "value": 1.5, "unit": "%", "uncertainty": None}]
    assert json.loads(as_json([visit(moment=UNSET)], kinds()))[0]["begun"] is None
    assert "burn-in" not in as_json([record], kinds())
