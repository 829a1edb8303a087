"""``flash``: what is shown by keys at their fastest is within the limits, and what is beyond them is told.

Limits: ITU-R BT.1702-3 (leading edges, a quarter of the screen) and WCAG 2.2 SC 2.3.1 (three in any second).
"""

import json

import numpy as np
import pytest

from appliance.cli import main
from appliance.commands.flash import Case, Hammer, cases_of, hammered, hammers, report
from appliance.commands.hammering import Hammering, frames
from appliance.patterns.catalogue import catalogue
from appliance.patterns.eyes import CAUTION, FAILS, WITHIN, strain
from appliance.patterns.picture import Frame, Picture, Turns
from appliance.service.painter import Painter
from appliance.video.formats import FORMATS
from tests.video.test_flash_analyser import analysed, analyser  # noqa: F401 - the analyser is a fixture

FMT = FORMATS["240p"]
HAMMERS = {hammer.what: hammer for hammer in hammers()}
STARK = {f"forward and back at {key}" for key in ("white", "red", "yellow", "black", "window", "checker", "half-load")}
"""The neighbours that differ most, for time's sake; fieldmouse flash counts all."""
PAINTER = Painter(4)


def turning(fields: int, share: float = 1.0) -> Picture:
    """Black, and white over a share of the screen's height, by turns of so many fields."""
    black: Frame = np.zeros((FMT.lines, FMT.samples), np.uint32)
    white = black.copy()
    white[: round(FMT.lines * share)] = 0xFFFFFF
    return Picture(black, more=(white,), turns=Turns(tuple(((0, fields), (1, fields)) * 5)))


TRIED = [what for what in HAMMERS if not what.startswith("forward and back") or what in STARK]


@pytest.mark.parametrize("what", TRIED)
def test_no_key_however_hammered_flashes_the_screen(what: str) -> None:
    """The whole box, pacer and painter between key and eye: no more than three flashes in any second."""
    found = hammered(FMT, HAMMERS[what], PAINTER)
    assert found.verdict in (WITHIN, CAUTION), found


def test_a_patient_thumb_gets_every_press_through() -> None:
    """The simulation is as unkind as it says: from picture to picture as often as the pacer's gap of 0.2 s allows."""
    views = [view.picture for view, _ in Hammering("240p", "red", ("forward", "back"), patient=True).views(2.5)]
    changes = [field for field in range(1, len(views)) if views[field] != views[field - 1]]
    assert len(changes) >= 9
    assert set(np.diff(changes)) <= {12, 13}


def test_the_white_stress_is_really_reached_and_left() -> None:
    """Its white and the black of a key are among what is counted."""
    steps = Hammering("240p", "white:100", ("go",), patient=True).views(2.2)
    seen = {(view.pattern, view.variant, bool(view.left)) for view, _ in steps}
    assert {("white", "100", True), ("black", "0", False), ("white", "25", False)} <= seen


def test_what_is_counted_is_what_stood_and_how_long() -> None:
    """The fields of all frames are the fields of the time asked for, and a standing picture is painted once."""
    shown = list(frames(FMT, Hammering("240p", "white:50", ("note",), patient=True).views(1.0), PAINTER))
    assert sum(fields for _, fields in shown) == 60
    assert shown[0][1] >= 30


@pytest.mark.parametrize(("fields", "share", "verdict"), [(7, 1.0, FAILS), (7, 0.05, WITHIN), (60, 1.0, WITHIN)])
def test_a_picture_that_flashes_is_told(
    fields: int, share: float, verdict: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Four flashes a second fail over the whole screen, not over a strip; one in two seconds does not; so the code."""
    case = Case("invented", FMT, lambda: strain(FMT, turning(fields, share)))
    assert report([case], json=True) == int(verdict == FAILS)
    row = json.loads(capsys.readouterr().out)[0]
    assert row["verdict"] == verdict
    assert (row["what"], row["format"]) == ("invented", "240p")


def test_the_table_says_what_its_columns_are(capsys: pytest.CaptureFixture[str]) -> None:
    """A line for each case with its verdict, what is counted by which standard, and the tally."""
    assert report([Case("invented", FMT, lambda: strain(FMT, turning(60)))], json=False) == 0
    out = capsys.readouterr().out
    assert "invented" in out
    assert "BT.1702" in out
    assert out.rstrip().endswith("1 within limits")


def test_every_picture_and_every_hammering_is_a_case() -> None:
    """Each pattern × variant, and the keys; each named once."""
    names = [case.what for case in cases_of(FMT)]
    assert len(set(names)) == len(names)
    pictures = {f"{key}:{variant}" for key, entry in catalogue().items() for variant in entry.variants}
    assert set(names) == pictures | set(HAMMERS)


def test_an_unknown_format_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    """One line and code 2, before anything is counted."""
    assert main(["flash", "--format", "1080p"]) == 2
    assert "1080p" in capsys.readouterr().err


STEPPED = [
    Hammer("white and red", "white:100", ("forward", "back")),
    Hammer("black and grey", "black", ("forward", "back")),
    Hammer("levels of white", "white:100", ("vary",)),
    Hammer("through everything", "white:100", ("forward",), seconds=6),
]


@pytest.mark.parametrize("hammer", STEPPED, ids=[hammer.what for hammer in STEPPED])
@pytest.mark.parametrize("name", ["240p", "576i"])
def test_the_analyser_passes_the_fastest_stepping(name: str, hammer: Hammer, analyser: object) -> None:  # noqa: F811 - the fixture
    """iris-pse-detection, which knows nothing of ours, finds no more than three flashes in a second either."""
    fmt = FORMATS[name]
    steps = Hammering(name, hammer.at, hammer.keys, patient=True).views(hammer.seconds)
    assert not analysed(analyser, fmt, list(frames(fmt, steps, PAINTER)))  # type: ignore[arg-type] # a module
