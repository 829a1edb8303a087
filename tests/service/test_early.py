"""The first picture comes before anything heavy is imported, and pygame never into a service without a window."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from appliance.service.early import early_picture
from appliance.service.first_light import settings_mark, write_kept
from appliance.video.formats import FORMATS, find_mode

HEAVY = {"numpy", "yaml", "pygame", "gpiozero", "gpiod", "evdev", "typing", "pathlib", "logging", "dataclasses"}
ROWS = bytes(range(256)) * (4 * 720 * 240 // 256)
NTSC = find_mode(FORMATS["240p"], "NTSC")


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A settings file for a box on mock pins, and a picture kept under it."""
    path = tmp_path / "settings.yaml"
    path.write_text("gpio:\n  factory: mock\nkeys:\n  devices:\n    use: false\n")
    keep(tmp_path, settings_mark(str(path)))
    return path


def keep(folder: Path, mark: str) -> None:
    """Keep a picture in the state folder of these tests."""
    facts = {"settings": mark, "format": "240p", "system": "NTSC", "pattern": "red", "variant": "100"}
    (folder / "state").mkdir(exist_ok=True)
    write_kept(str(folder / "state"), facts, NTSC, ROWS)


def python(code: str, folder: Path, *words: str) -> str:
    """What a fresh interpreter prints that remembers in ``folder``."""
    given = {**os.environ, "STATE_DIRECTORY": str(folder / "state")}
    ran = subprocess.run(
        [sys.executable, "-c", code, *words], env=given, capture_output=True, text=True, timeout=60, check=False
    )
    assert ran.returncode == 0, ran.stderr
    return ran.stdout


EARLY = """
import sys
before = set(sys.modules)
from appliance.service.early import early_picture
early = early_picture(sys.argv[1:])
gained = set(sys.modules) - before
early.screen.read(early.at)
frame = early.screen.frame()
import json, zlib
print(json.dumps([sorted(gained), zlib.crc32(frame), len(frame)]))
"""


def test_the_kept_picture_is_up_before_anything_heavy_is_imported(own: Path) -> None:
    """Word for word as kept, and neither numpy nor YAML nor gpiozero, nor the slower half of the standard library."""
    import zlib

    gained, check, size = json.loads(python(EARLY, own.parent, "--screen", "memory", "--settings", str(own)))
    assert not HEAVY & set(gained)
    assert (check, size) == (zlib.crc32(ROWS), len(ROWS))


MAIN = """
import json, sys
from appliance.hardware.screens import memory
seen = []
start = memory.MemoryScreen.start
def started(screen, mode, surface, at=(0, 0)):
    seen.append(sorted({name.partition(".")[0] for name in sys.modules}))
    return start(screen, mode, surface, at)
memory.MemoryScreen.start = started
from appliance.cli import main
code = main(["run", *sys.argv[1:]])
print(json.dumps([code, seen, sorted({name.partition(".")[0] for name in sys.modules})]))
"""


def test_a_run_puts_it_up_first_and_never_imports_pygame(own: Path) -> None:
    """The whole command: what is loaded when the first mode is set, and what at the end of a run."""
    words = ("--screen", "memory", "--settings", str(own), "--for", "0.5")
    code, seen, loaded = json.loads(python(MAIN, own.parent, *words))
    assert code == 0
    assert not HEAVY & set(seen[0])
    assert {"numpy", "yaml", "gpiozero"} <= set(loaded)
    assert "pygame" not in loaded
    assert len(seen) == 1, "the service takes the screen over and does not set the mode anew"


def test_a_first_run_without_a_kept_picture(own: Path) -> None:
    """It comes up all the same, a little later, and keeps one for the next."""
    kept = own.parent / "state" / "last-picture"
    kept.unlink()
    words = ("--screen", "memory", "--settings", str(own), "--for", "3")
    code, seen, _ = json.loads(python(MAIN, own.parent, *words))
    assert (code, len(seen)) == (0, 1)
    assert kept.exists()


@pytest.mark.parametrize(
    "words",
    [
        ["--screen", "window"],
        ["--screen", "memory", "--format", "576i"],
        ["--screen", "memory", "--for", "soon"],
        ["--screen", "memory", "--for", "-1"],
        ["--screen", "memory", "--settings", "/missing.yaml"],
        ["--screen", "memory", "--settings", "/"],
        ["--screen", "memory", "--settings"],
        ["--screen", "memory", "--unknown", "1"],
        ["--help"],
    ],
    ids=" ".join,
)
def test_nothing_is_put_up_for_words_that_ask_otherwise(
    words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Words that will be refused, another format, another screen: the picture waits until they are understood."""
    keep(tmp_path, "none")
    monkeypatch.setenv("STATE_DIRECTORY", str(tmp_path / "state"))
    assert early_picture(words) is None


@pytest.mark.parametrize("words", [["--format", "240p"], ["--format=240p"], ["--for", "5"], ["--for=2.5"]], ids=str)
def test_words_that_change_nothing_do_not_delay_it(
    own: Path, words: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The format that is kept already, and a time to stop."""
    monkeypatch.setenv("STATE_DIRECTORY", str(own.parent / "state"))
    early = early_picture(["--screen", "memory", "--settings", str(own), *words])
    assert early is not None
    assert early.kept.rows == ROWS


def test_other_settings_wait_for_the_new_picture(own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """After a change of the settings file the picture kept under the old one is not shown."""
    own.write_text(own.read_text() + "format: 288p\nsystem: PAL\n")
    monkeypatch.setenv("STATE_DIRECTORY", str(own.parent / "state"))
    assert early_picture(["--screen", "memory", "--settings", str(own)]) is None


def test_a_kept_format_that_is_unknown_is_forgotten(own: Path) -> None:
    """A picture kept by another version of the box goes up, and the box goes on from its settings."""
    facts = {"settings": settings_mark(str(own)), "format": "819", "system": "E", "pattern": "x", "variant": "y"}
    write_kept(str(own.parent / "state"), facts, NTSC, ROWS)
    words = ("--screen", "memory", "--settings", str(own), "--for", "0.5")
    code, seen, _ = json.loads(python(MAIN, own.parent, *words))
    assert (code, len(seen)) == (0, 1)
