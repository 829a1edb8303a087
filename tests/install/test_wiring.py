"""The drawing of the wires: the header against gpiozero's own data, the notes against the settings that ship."""

from pathlib import Path

import pytest

from appliance.install.wiring import HEADER, draw_header, draw_table, main
from appliance.settings import load

NOTES = Path(__file__).parents[2] / "hardware_notes" / "wiring.md"


def test_header() -> None:
    """Each GPIO line is at the pin where gpiozero (2.x) has it on a Pi 4, and the supplies are what it says."""
    pytest.importorskip("gpiozero.pins.data", reason="gpiozero is not installed")
    from gpiozero.pins.pi import PiBoardInfo

    pins = PiBoardInfo.from_revision(0xC03114).headers["J8"].pins
    names = {"3V3": "3.3 V", "5V": "5 V", "GND": "ground"}
    theirs = [names.get(pins[n].name) or int(pins[n].name.removeprefix("GPIO")) for n in range(1, 41)]
    assert list(HEADER) == theirs


def test_notes_are_drawn_from_the_settings() -> None:
    """What stands in the notes is what the shipped settings give."""
    text, settings = NOTES.read_text("utf-8"), load()
    assert f"```\n{draw_header(settings)}```\n" in text
    assert draw_table(settings) in text


def test_every_wire_is_in_the_drawing() -> None:
    """Each lamp and key is drawn once, beside its line."""
    drawing = draw_header(load())
    for label in ("lamp ready = GPIO 17", "key forward = GPIO 5 ", "key note = GPIO 26"):
        assert drawing.count(label) == 1
    assert drawing.count("●") == 8


def test_own_settings(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A person's own settings give their own drawing, a pad's rows and columns too; bad ones one line and code 2."""
    own = tmp_path / "own.yaml"
    own.write_text("keys: {pad: {use: true}}\n")
    assert main([str(own)]) == 0
    assert "pad column 3 = GPIO 25" in capsys.readouterr().out
    own.write_text("keys: {pad: {use: yes}}\n")
    assert main([str(own)]) == 2
    assert capsys.readouterr().err.startswith(f"{own}:1: keys.pad.use")
