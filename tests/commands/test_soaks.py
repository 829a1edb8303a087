"""``fieldmouse soaks`` and ``fieldmouse report`` as a person and as a program use them, beside a box that writes."""

import json
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from appliance.activities.soak_event import SoakEvent
from appliance.cli import main
from appliance.commands.kept import find_records
from appliance.records.store import Store
from appliance.records.surroundings import FILE
from tests.commands.test_bad_input import files, refused


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """An open store as the box has it: one soak ended, one cut."""
    store = Store(tmp_path / "state", boot_id="a", wall=lambda: (1.7e9, False), mountinfo=lambda: "")
    store.open()
    first = store.begin_soak("short", "Half an hour", '{"phases": [{"seconds": 1800}]}', 1.0)
    store.add_event(first, SoakEvent("ended", 1900.0, 1800.0, 0, "complete"))
    store.end_soak(first, 1900.0, "complete")
    second = store.begin_soak("short", "Half an hour", '{"phases": [{"seconds": 1800}]}', 2000.0)
    store.add_event(second, SoakEvent("started", 2000.0, 0.0, 0, "Half an hour"))
    store.heartbeat(second, 2700.0, 720.0, 0)
    yield store
    store.close()


def run(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """What a command that does its work writes."""
    assert main(list(words)) == 0
    out, err = capsys.readouterr()
    assert not err
    return out


def test_the_list(store: Store, capsys: pytest.CaptureFixture[str]) -> None:
    """The latest first, each with its number; within 80 columns; no time is told that was never set."""
    lines = run(capsys, "soaks", "--state", str(store.folder)).splitlines()
    assert [line.split() for line in lines[1:]] == [
        ["2", "time", "not", "set", "short", "not", "ended,", "alive", "at", "0:12"],
        ["1", "time", "not", "set", "short", "complete"],
    ]
    assert max(map(len, lines)) <= 80


def test_the_list_as_json(store: Store, capsys: pytest.CaptureFixture[str]) -> None:
    """A list of objects with exactly these names."""
    rows = json.loads(run(capsys, "soaks", "--json", "--state", str(store.folder)))
    assert rows[0] == {"number": 2, "name": "short", "title": "Half an hour", "begun": "time not set", "ended": None,
                       "how": None, "alive_seconds": 720.0}  # fmt: skip
    assert (rows[1]["how"], rows[1]["alive_seconds"]) == ("complete", None)


def test_the_page(store: Store, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Written whole to the file named, over an older one; by number, by name, or the last."""
    out = tmp_path / "sheet.html"
    out.write_text("old")
    pages = []
    for soak in ("2", "short", "last"):
        assert run(capsys, "report", soak, "-o", str(out), "--state", str(store.folder)) == ""
        pages.append(out.read_text("utf-8"))
    assert pages[0] == pages[1] == pages[2]
    assert pages[0].startswith("<!DOCTYPE html>")
    assert "not ended: last sign of life at 0:12 of 0:30" in pages[0]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["sheet.html", "state"]


def test_the_page_as_json(store: Store, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """To standard output, or into the file named: the same."""
    words = ("report", "1", "--json", "--state", str(store.folder))
    told = run(capsys, *words)
    assert json.loads(told)["outcome"] == "ended at 0:30 of 0:30: complete"
    run(capsys, *words, "-o", str(tmp_path / "sheet.json"))
    assert (tmp_path / "sheet.json").read_text("utf-8") == told


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("report", "3", "-o", "{}/a.html", "--state", "{}/state"), "soak '3': not in {}/state; there are 1 to 2"),
        (("report", "night", "--json", "--state", "{}/state"), "soak 'night': not in"),
        (("report", "1", "--state", "{}/state"), "report 1: -o FILE.html is missing"),
        (("report", "1", "-o", "{}", "--state", "{}/state"), "{}: is no file"),
        (("report", "1", "-o", "{}/none/a.html", "--state", "{}/state"), "{}/none/a.html: cannot be written"),
        (("report", "1", "-o", "{}/" + "a" * 300, "--state", "{}/state"), "cannot be written"),
        (("report", "1", "--json", "--state", "{}/none"), "{}/none: holds no records.sqlite; name the folder"),
        (("soaks", "--state", "{}/none"), "{}/none: holds no records.sqlite; name the folder"),
        (("soaks", "--state", "{}/bad"), "{}/bad/records.sqlite"),
        (("report",), "SOAK"),
        (("soak", "short"), "--plan prints what it would show"),
        (("soak", "night", "--plan"), "soak 'night': unknown; there are"),
        (("soak", "{}/bad.yaml", "--plan", "--json"), "{}/bad.yaml:1: title"),
    ],
    ids=lambda value: " ".join(value)[:60] if isinstance(value, tuple) else "",
)
def test_what_is_asked_wrongly(
    words: tuple[str, ...], said: str, store: Store, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line with the value, the place and what to do; code 2; nothing written."""
    (tmp_path / "bad").mkdir()
    (tmp_path / "bad" / FILE).write_bytes(b"no records " * 1000)
    (tmp_path / "bad.yaml").write_text("title: [1]\n")
    before = set(files(tmp_path))
    assert said.format(tmp_path) in refused(capsys, *(word.format(tmp_path) for word in words))
    assert set(files(tmp_path)) == before


def test_a_single_soak_is_no_row_of_them(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One soak is told as one, and none as none."""
    words = ("report", "7", "--json", "--state", str(tmp_path))
    with closing(Store(tmp_path, boot_id="a", wall=lambda: (1.7e9, False), mountinfo=lambda: "")) as store:
        store.open()
        assert "; there are none; `fieldmouse soaks`" in refused(capsys, *words)
        store.begin_soak("short", "Half an hour", "{}", 1.0)
        assert "; there is only 1; `fieldmouse soaks`" in refused(capsys, *words)


def test_where_records_are_looked_for(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without a folder named: where systemd or this user keeps the box's state; an unused one is no mistake."""
    monkeypatch.delenv("STATE_DIRECTORY", raising=False)
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    (tmp_path / "fieldmouse").symlink_to(store.folder)
    if not Path("/var/lib/fieldmouse", FILE).exists():
        assert find_records(None) == tmp_path / "fieldmouse"
    monkeypatch.setenv("STATE_DIRECTORY", str(tmp_path / "unused"))
    assert find_records(None) == tmp_path / "unused"
    assert run(capsys, "soaks") == f"no soak has been kept in {tmp_path / 'unused'}; --state names other records\n"
    assert json.loads(run(capsys, "soaks", "--json")) == []
    assert not (tmp_path / "unused").exists()


def test_the_plan_from_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    """The words lead to the plan, as a table and as JSON."""
    assert json.loads(run(capsys, "soak", "short", "--plan", "--json"))["total_seconds"] == 1800
    assert "total                         0:30:00" in run(capsys, "soak", "short", "--plan")
