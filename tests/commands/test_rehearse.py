"""``fieldmouse rehearse``: scripts played through the whole service, told as JSON or kept as pictures."""

import subprocess
import sys
from itertools import pairwise
from math import ceil
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage

import numpy as np
import pytest
from PIL import Image

from appliance.cli import main
from appliance.patterns.catalogue import catalogue
from tests.commands.told import RATES, first, places, play
from tests.records.test_code_reading import by_zxing
from tests.service.visited import noted, visit

STRESS = "0 show white\n1 press go\n3 press go\n"
FIELD = float(1 / RATES["240p"])
NAMES = ["t", "field", "pattern", "variant", "format", "system", "caption", "lamps", "activity"]


def test_each_change_is_one_line_with_the_promised_names(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Times and fields never run backwards, lamps are three booleans, and nothing is told twice alike."""
    told = play(tmp_path, capsys, "1 press forward\n6 press vary\n12 end")
    for line in told:
        assert [name for name in line if name not in ("moving", "large", "code")] == NAMES
        assert {name: type(lit) for name, lit in line["lamps"].items()} == dict.fromkeys(
            ("ready", "running", "attention"), bool
        )
        assert isinstance(line["field"], int)
    assert (told[0]["t"], told[0]["field"]) == (0.0, 0)
    assert [(line["t"], line["field"]) for line in told] == sorted((line["t"], line["field"]) for line in told)
    bare = [{name: line[name] for name in NAMES[2:]} for line in told]
    assert all(a != b for a, b in pairwise(bare))


def test_forward_vary_and_the_caption_s_end(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The next pattern within a field of its key, its caption for four seconds, then bare; then its next variant."""
    told = play(tmp_path, capsys, "0 show red\n5 press forward\n15 press vary\n30 end")
    keys = list(catalogue())
    following = keys[keys.index("red") + 1]
    came = first(told, pattern=following)
    assert 5 <= came["t"] <= 5 + FIELD
    bare = first(told, pattern=following, caption="")
    assert bare["t"] - came["t"] == pytest.approx(4, abs=2 * FIELD)
    assert places(told)[-1] == (following, catalogue()[following].variants[1])


@pytest.mark.parametrize(
    ("name", "system", "seconds", "fields"),
    [
        ("240p", "NTSC", 10, 601),
        ("480i", "NTSC", 10, 600),
        ("288p", "PAL", 10, 501),
        ("576i", "PAL", 10, 500),
        ("240p", "PAL-60", 1, 61),
        ("576i", "mono", 60, 3000),
    ],
)
def test_the_white_stress_counts_its_fields(
    name: str, system: str, seconds: int, fields: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """From the field that put white up to the one that put red up: the seconds asked for, in whole fields."""
    settings = f"format: {name}\nsystem: {system}\nstress:\n  seconds: {seconds}\n"
    told = play(tmp_path, capsys, f"{STRESS}{seconds + 40} end", settings=settings)
    assert fields == ceil(seconds * RATES[name])
    white, red = (first(told, 3, pattern=key) for key in ("white", "red"))
    assert red["field"] - white["field"] == fields
    assert red["t"] - white["t"] == pytest.approx(float(fields / RATES[name]), abs=1e-5)
    assert {(line["format"], line["system"]) for line in told} == {(name, system)}


def test_the_caution_comes_before_white_and_the_purity_fields_after(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Black with the caution, then white with the seconds left and the lamp, then red, green and blue by itself."""
    told = play(tmp_path, capsys, f"{STRESS}60 end")
    assert places(told)[1:] == [("white", "100"), ("black", "0"), ("white", "100"), *((c, "100") for c in _PURITY)]
    caution = first(told, 1, pattern="black")
    assert "go starts" in caution["caption"]
    stress = [line for line in told if line["activity"] == "white stress" and line["pattern"] == "white"]
    assert list(dict.fromkeys(line["caption"] for line in stress)) == [str(left) for left in range(10, 0, -1)]
    assert {line["lamps"]["running"] for line in stress} == {True, False}
    assert first(told, pattern="red")["lamps"]["running"] is True


_PURITY = ("red", "green", "blue")


@pytest.mark.parametrize("key", ["forward", "back", "go", "vary", "note", "5"])
@pytest.mark.parametrize("at", [3.5, 8.123, 13.0])
def test_any_key_makes_full_white_black_within_two_fields_and_it_stays(
    key: str, at: float, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """By the press itself, not by its release, and with the attention lamp; the rest of the press does nothing."""
    told = play(tmp_path, capsys, f"{STRESS}{at} hold {key} 2\n400 end")
    black = first(told, 3.2, pattern="black")
    assert at <= black["t"] <= at + 2 * FIELD
    assert {line["pattern"] for line in told if line["t"] >= black["t"]} == {"black"}
    assert any(line["lamps"]["attention"] for line in told if line["t"] >= black["t"])


def test_the_key_after_a_panic_leads_back_to_a_dim_picture(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Never straight to full white again."""
    told = play(tmp_path, capsys, f"{STRESS}6 press forward\n30 press forward\n40 end")
    assert places(told)[-1] == ("white", "25")
    assert told[-1]["activity"] == "stepping"
    assert first(told, 29, pattern="white")["t"] >= 30


def test_vary_held_leads_to_the_next_family(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A second after the key went down, not at its release."""
    told = play(tmp_path, capsys, "0 show red\n3.2 hold vary 1.5\n10 end")
    family = catalogue()["red"].family
    other = next(line for line in told if catalogue()[line["pattern"]].family != family and line["t"] > 1)
    assert other["t"] == pytest.approx(4.2, abs=2 * FIELD)
    assert places(told)[-1][0] == other["pattern"]


def test_go_and_vary_offer_a_format_that_comes_back_by_itself(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Held for two seconds; ten seconds later the old format stands again, in which the count of fields goes on."""
    told = play(tmp_path, capsys, "4 down go\n4.3 down vary\n7 up vary\n7 up go\n30 end")
    offered = first(told, format="480i")
    assert offered["t"] == pytest.approx(6.3, abs=0.05)
    assert "480i" in offered["caption"]
    back = first(told, offered["t"] + FIELD, format="240p")
    assert back["t"] - offered["t"] == pytest.approx(10, abs=0.05)
    assert told[-1]["format"] == "240p"
    assert back["field"] - offered["field"] == pytest.approx(float(10 * RATES["480i"]), abs=3)


@pytest.mark.parametrize(("key", "ends_in"), [("go", "480i"), ("note", "240p")])
def test_an_offered_format_is_kept_or_refused_by_a_key(
    key: str, ends_in: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """``go`` keeps it for good, ``note`` brings the old one back at once."""
    told = play(tmp_path, capsys, f"4 down vary\n4 down go\n7 up go\n7 up vary\n9 press {key}\n40 end")
    after = [line["format"] for line in told if line["t"] > 9.2]
    assert set(after) == {ends_in}


def test_a_moving_picture_is_told_once_and_stops(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """``go`` shows its caution, starts it, stops it; while it moves there are no words over it."""
    told = play(tmp_path, capsys, "0 show moving-crosshatch:down\n3 press go\n6 press go\n9 press go\n20 end")
    moving = [line for line in told if line["moving"]]
    assert [line["caption"] for line in moving] == [""]
    assert moving[0]["t"] == pytest.approx(6.1, abs=0.02)
    assert told[-1]["moving"] is False


def test_a_script_without_an_end_ends(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A lamp that blinks for ever does not hold it up: it plays a minute on."""
    told = play(tmp_path, capsys, f"{STRESS}5 press note")
    assert 60 <= told[-1]["t"] <= 65.2


@pytest.mark.parametrize("single", ["pull: none", "pull: down\n    active: high", "pull: none\n    active: high"])
def test_keys_wired_otherwise_play_alike(single: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Resistors of one's own, or keys to 3.3 V: at rest they are up, and a press is a press."""
    script = "0 show red\n1 press forward\n4 end"
    plain = play(tmp_path, capsys, script)
    assert play(tmp_path, capsys, script, settings=f"keys:\n  single:\n    {single}\n") == plain


def test_keys_without_a_line_are_played_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A key whose line the settings take away is pressed on a pad instead."""
    settings = "keys:\n  single:\n    forward: none\n"
    told = play(tmp_path, capsys, "0 show red\n1 press forward\n4 end", settings=settings)
    assert places(told)[-1][0] == "green"


def test_json_writes_no_file_unless_a_folder_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A stream of lines leaves nothing behind."""
    monkeypatch.chdir(tmp_path)
    play(tmp_path, capsys, "1 end")
    assert [path.name for path in tmp_path.iterdir()] == ["script.txt"]


def test_pictures_are_kept_in_the_shape_of_a_tube(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A PNG of each picture shown, 4:3 with square pixels, in order, and one sheet; the words say how many."""
    (tmp_path / "script.txt").write_text("0 show red\n5 press forward\n11 end", encoding="utf-8")
    out = tmp_path / "pictures"
    assert main(["rehearse", "--script", str(tmp_path / "script.txt"), "--out", str(out)]) == 0
    names = sorted(path.name for path in out.iterdir())
    assert names[-1] == "contact-sheet.png"
    assert [name[4:-4] for name in names[:-1]] == ["crosshatch-white", *["red-100"] * 2, *["green-100"] * 2]
    for name in names[:-1]:
        with Image.open(out / name) as image:
            assert image.size[0] * 3 == image.size[1] * 4
    with Image.open(out / names[2]) as image:
        colours = np.unique(np.asarray(image.convert("RGB")).reshape(-1, 3), axis=0)
        assert colours[-1].tolist()[1:] == [0, 0]
    lines = capsys.readouterr().out.splitlines()
    assert lines[-1].startswith(f"{len(names) - 1} pictures")
    assert any("green:100" in line for line in lines)


def test_the_shipped_rehearsal_takes_less_than_a_minute(tmp_path: Path) -> None:
    """Without any script: it steps the patterns, runs the white stress out, cuts it short, and views a set, whole."""
    words = [sys.executable, "-m", "appliance", "rehearse", "--out", str(tmp_path)]
    before = getrusage(RUSAGE_CHILDREN)
    done = subprocess.run(words, capture_output=True, text=True, timeout=240, check=True)
    after = getrusage(RUSAGE_CHILDREN)
    assert not done.stderr
    # The processor's time, since a machine that runs tests may be busy otherwise.
    assert after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime < 60
    for words_told in ("white:100", "moving-crosshatch", "red:100", "attention", "480i"):
        assert words_told in done.stdout
    _check_visit(tmp_path)
    pictures = [path for path in tmp_path.glob("*.png") if path.name != "contact-sheet.png"]
    assert f"{len(pictures)} pictures and contact-sheet.png" in done.stdout.splitlines()[-1]


def _check_visit(folder: Path) -> None:
    """The visit of the shipped script: cut in its middle and yet whole, with its sheet, its tally and its codes."""
    record = visit(folder)
    assert (record.route, record.how) == ("viewing", "23 of 23 steps looked at")
    assert len({moment.boot for moment in (record.begun, record.ended) if moment}) == 2, "the power was cut in between"
    assert noted(folder) == [("red", "burn-in", 2, 8), ("shape", "tilt", 3, 1)]
    tally = (folder / "visit-1.txt").read_text("utf-8")
    codes = [by_zxing(np.asarray(Image.open(path).convert("L"))) for path in sorted(folder.glob("*-grey-25.png"))]
    assert [page for page in codes if page] == tally.removesuffix("\n").split("\n\n")
    sheet = (folder / "visit-1.html").read_text("utf-8")
    assert all(words in sheet for words in ("Burnt-in marks", "Picture turned", "time not set", "data:image/png"))
