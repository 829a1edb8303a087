"""``fieldmouse rehearse`` with a soak: begun, cut, taken up again and told, in simulated time."""

from pathlib import Path

import pytest

from appliance.cli import main
from tests.commands.told import first, places, play
from tests.service.soaked import kept


def test_a_soak_is_cut_and_taken_up(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Dim first, then its pictures; dark when the power goes; dim and waiting when it is back; on by a held go."""
    script = "0 soak short\n600 cut\n605 power\n620 hold go 1.5\n720 end"
    out = tmp_path / "out"
    told = play(tmp_path, capsys, script, "--out", str(out))
    assert places(told)[:3] == [("crosshatch", "white"), ("grey", "10"), ("pan", "slow")]
    assert first(told, pattern="pan")["t"] == pytest.approx(30, abs=1)
    (dark,) = [line for line in told if line["activity"] == "power cut"]
    assert (dark["t"], dark["pattern"], set(dark["lamps"].values())) == (pytest.approx(600), "", {False})
    assert [line for line in told if 600.1 < line["t"] < 605] == []
    back = first(told, 605, pattern="grey")
    assert (back["pattern"], back["caption"].split("\n")[0][:7]) == ("grey", "Cut at ")
    assert first(told, 621, pattern="pan")["t"] == pytest.approx(651, abs=1)
    assert [(line["t"], line["field"]) for line in told] == sorted((line["t"], line["field"]) for line in told)
    kinds = [event.kind for event in kept(out).events]
    assert kinds[:2] == ["started", "phase"]
    assert kinds[-3:] == ["resumed", "phase", "paused"]
    assert "cut" in kinds
    assert main(["soaks", "--state", str(out)]) == 0
    assert "short" in capsys.readouterr().out


def test_a_second_rehearsal_begins_afresh(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What an earlier one left open in the same folder is not taken up."""
    for _ in range(2):
        told = play(tmp_path, capsys, "1 soak short\n50 end", "--out", str(tmp_path / "out"))
        assert "Cut at" not in "".join(line["caption"] for line in told)
    assert kept(tmp_path / "out").id == 2


def test_keys_on_a_dead_box_do_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Pressed and let go without power: the box comes up as it would have. Held: they are held at power-up."""
    told = play(tmp_path, capsys, "1 cut\n2 press forward\n3 press 5\n4 power\n10 end")
    assert {line["pattern"] for line in told if line["t"] > 4} == {"crosshatch"}
    for script in ("0 down vary\n3 up vary\n10 end", "1 cut\n2 down vary\n4 power\n7 up vary\n10 end"):
        told = play(tmp_path, capsys, script)
        assert "let go to keep" in "".join(line["caption"] for line in told)


def test_a_power_that_never_comes_back_ends_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The last line is the dark."""
    assert play(tmp_path, capsys, "1 cut\n2 press go\n9 end")[-1]["activity"] == "power cut"


def test_without_a_folder_nothing_is_left_behind(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The records of a rehearsal told as JSON are gone with it."""
    monkeypatch.chdir(tmp_path)
    play(tmp_path, capsys, "0 soak short\n100 cut\n101 power\n110 end")
    assert [path.name for path in tmp_path.iterdir()] == ["script.txt"]
