"""``visits``, ``sheet``, ``tally``, ``compare``, ``export`` and ``card`` over records in a folder."""

import csv
import io
import json
from html import escape
from pathlib import Path

import pytest

from appliance.cli import main
from appliance.commands.visits import delete
from appliance.errors import Refused
from appliance.records import saying
from appliance.records.entries import StepState
from appliance.records.store import Store
from tests.commands.test_bad_input import refused
from tests.records.invented import ROUTE


@pytest.fixture
def state(tmp_path: Path) -> Path:
    """A folder with two visits, the second with a finding and not ended."""
    store = opened(tmp_path)
    for label, looked in (("the walnut one", 6), ("white portable", 3)):
        visit = store.visits.begin(label, "glance", 1.0, title="A glance", path="composite", warmth="cold", steps=ROUTE)
        for number in range(looked):
            store.visits.mark_step(visit, number + 1, StepState.LOOKED, 2.0)
    store.visits.end(1, 3.0, "completed")
    store.visits.add_finding(2, 3.0, "red", "burn-in", 3, 8, "Burnt-in marks")
    store.close()
    return tmp_path


def opened(folder: Path) -> Store:
    """A store with a clock that was never set."""
    store = Store(folder, boot_id="a", wall=lambda: (0.0, False))
    store.open()
    return store


def said(capsys: pytest.CaptureFixture[str], *words: str | Path) -> str:
    """What a command prints."""
    assert main([str(word) for word in words]) == 0
    out, err = capsys.readouterr()
    assert not err
    return out


def test_visits_are_listed(state: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The latest first, as a table and as JSON, beside a box that is writing."""
    box = opened(state)
    lines = said(capsys, "visits", "--state", state).splitlines()
    assert [line.split()[0] for line in lines] == ["visit", "2", "1"]
    assert "time not set" in lines[1]
    assert lines[1].endswith("not ended")
    rows = json.loads(said(capsys, "visits", "--json", "--state", state))
    assert [(row["number"], row["set"], row["begun"], row["noted"]) for row in rows] == [
        (2, "white portable", None, 1),
        (1, "the walnut one", None, 0),
    ]
    box.close()


def test_no_visits_are_said_to_be_none(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A box that has kept nothing lists nothing; a folder named that has no records is refused."""
    monkeypatch.setenv("STATE_DIRECTORY", str(tmp_path))  # as systemd gives it
    assert said(capsys, "visits") == f"no visit has been kept in {tmp_path}; --state names other records\n"
    assert said(capsys, "visits", "--json") == "[]\n"
    assert "holds no records.sqlite" in refused(capsys, "visits", "--state", str(tmp_path))


def test_a_visit_is_deleted_only_after_its_number_was_typed(state: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Anything else keeps it, the end of the input too; the other visit stays."""
    for typed in ("", "\n", "y\n", "1\n"):
        with pytest.raises(Refused, match="visit 2: kept"):
            delete(state, "last", io.StringIO(typed))
    assert delete(state, "2", io.StringIO("2\n")) == 0
    assert "white portable" in capsys.readouterr().out
    assert [row["number"] for row in json.loads(said(capsys, "visits", "--json", "--state", state))] == [1]


HOSTILE = ("<script>alert(1)</script>", "=1+1", "{{ 7 * 7 }}", "two\nlines \x1b[31m\u202e", "odd \udcff")


@pytest.mark.parametrize("called", ["the walnut one", "Großer Röhrenkasten", "x" * 60, *HOSTILE], ids=ascii)
def test_a_set_is_named_at_home(state: Path, capsys: pytest.CaptureFixture[str], called: str) -> None:
    """Told by the list, sheet, comparison, tally and table, as text whatever it holds; the other set keeps its name."""
    shown = saying.plain(called)
    answer = said(capsys, "visits", "--name", "2", called, "--state", state)
    assert answer == f"visit 2: {shown} (before: white portable)\n"
    rows = json.loads(said(capsys, "visits", "--json", "--state", state))
    assert [row["set"] for row in rows] == [shown, "the walnut one"]
    assert shown in said(capsys, "tally", "2", "--state", state)
    assert shown[:14].split()[0] in said(capsys, "compare", "1", "2", "--state", state)
    assert csv_cells(said(capsys, "export", "2", "--state", state))["set"].removeprefix("'") == shown
    said(capsys, "sheet", "2", "-o", state / "sheet.html", "--state", state)
    assert f"<h1>{escape(shown)}</h1>" in (state / "sheet.html").read_text("utf-8")


def csv_cells(text: str) -> dict[str, str]:
    """The first line of a table."""
    return next(csv.DictReader(io.StringIO(text)))


def test_a_name_is_taken_away_or_refused(state: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An empty one leaves none; what is too long, or of no visit, is refused with its place, and nothing changes."""
    assert "visit 1: no name given" in said(capsys, "visits", "--name", "1", " ", "--state", state)
    answer = refused(capsys, "visits", "--name", "2", "y" * 61, "--state", str(state))
    assert "visits --name 2: yyy" in answer
    assert "has 61 letters, 60 are the most; shorten the name" in answer
    assert "there: 1, 2" in refused(capsys, "visits", "--name", "7", "x", "--state", str(state))
    rows = json.loads(said(capsys, "visits", "--json", "--state", state))
    assert [row["set"] for row in rows] == ["white portable", ""]


def test_tally_prints_the_pages(state: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each with its number, nothing lost."""
    pages = said(capsys, "tally", "2", "--state", state).split("\n\n")
    assert [page.split("\n")[0] for page in pages] == [f"Fieldmouse visit 2, {n} of 2" for n in (1, 2)]
    assert "bad: Burnt-in marks, bottom" in pages[1]


def test_sheet_and_card_write_a_page(state: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Whole files; a second run takes the place of the first."""
    for _ in range(2):
        assert said(capsys, "sheet", "last", "-o", state / "sheet.html", "--state", state) == ""
        assert said(capsys, "card", "-o", state / "card.html", "--route", "glance") == ""
    assert "Burnt-in marks" in (state / "sheet.html").read_text("utf-8")
    assert "A glance" in (state / "card.html").read_text("utf-8")
    assert not list(state.glob("*.part"))


def test_compare_is_read_by_people(state: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two visits side by side, within 80 columns."""
    lines = said(capsys, "compare", "1", "2", "--state", state).splitlines()
    assert max(map(len, lines)) <= 80
    assert "Burnt-in marks          not noted         bad, bottom" in lines


def test_export_takes_all_or_those_named(state: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """CSV and JSON, to standard output and into a file."""
    assert len(said(capsys, "export", "--state", state).splitlines()) == 3
    assert [row["number"] for row in json.loads(said(capsys, "export", "last", "--json", "--state", state))] == [2]
    said(capsys, "export", "1", "-o", state / "a.csv", "--state", state)
    assert (state / "a.csv").read_bytes().count(b"\r\n") == 2  # RFC 4180


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        (("tally", "9"), "there: 1, 2"),
        (("tally", "x"), "visit 'x'"),
        (("tally", "-1"), ""),
        (("tally", "99999999999999999999"), "there: 1, 2"),
        (("sheet", "1", "-o", "."), "is a folder"),
        (("sheet", "1"), "--out"),
        (("compare", "1"), "two to 6"),
        (("compare", "1", "last", "2"), "named twice"),
        (("export", "1", "7"), "visit '7'"),
        (("visits", "--delete", "5"), "visit '5'"),
        (("visits", "--name", "1"), "expected 2"),
        (("visits", "--delete", "1", "--json"), "not allowed with"),
    ],
)
def test_what_is_asked_wrongly_is_refused(
    state: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], answer: str
) -> None:
    """One line, code 2, and no page written."""
    assert answer in refused(capsys, *words, "--state", str(state))
    assert {path.name.partition(".")[0] for path in state.iterdir()} == {"records"}


def test_an_unknown_route_makes_no_card(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """It is named, with those there are."""
    assert "glance" in refused(capsys, "card", "-o", str(tmp_path / "a.html"), "--route", "glanse")
    assert not list(tmp_path.iterdir())
