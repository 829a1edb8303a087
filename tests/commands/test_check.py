"""``fieldmouse check`` as a person and as a program read it, and the trial of keys and lamps."""

import json
import os
import select
import tty
from pathlib import Path
from typing import Any

import pytest

from appliance.commands.check import _try_out, forget_typed, run
from appliance.commands.tryout import try_out
from appliance.errors import Refused
from appliance.hardware.keys.memory import MemoryKeys
from appliance.hardware.keys.protocol import Keys, KeysTrouble
from appliance.hardware.lamps.memory import Lit, MemoryLamps
from appliance.hardware.lamps.protocol import Lamps
from appliance.service.waiter import SimulatedWaiter
from appliance.settings import load
from tests.install.check.machines import pi, sources


def test_table(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each line begins with fine, look or wrong; what to do stands under it; the code tells whether all will do."""
    good, bad = pi(tmp_path / "good"), tmp_path / "bad"
    bad.mkdir()
    capsys.readouterr()
    assert run(None, json=False, sources=sources(good)) == 0
    assert {line.split()[0] for line in capsys.readouterr().out.splitlines()} == {"fine"}
    assert run(None, json=False, sources=sources(bad, gpiod=None, cards=list)) == 1
    out = capsys.readouterr().out
    assert "wrong  composite   no composite connector" in out
    assert "→ on a Raspberry Pi: sudo fieldmouse install, then restart" in out


def test_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As JSON: a list of objects with topic, state, seen and remedy."""
    root = pi(tmp_path)
    capsys.readouterr()
    assert run(None, json=True, sources=sources(root)) == 0
    lines = json.loads(capsys.readouterr().out)
    assert all(set(line) == {"topic", "state", "seen", "remedy"} for line in lines)
    assert {line["state"] for line in lines} == {"fine"}
    assert "composite" in {line["topic"] for line in lines}


def test_bad_settings(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A wrong settings file is one line among the others, and the command's refusal after them."""
    own = tmp_path / "own.yaml"
    own.write_text("format: 240i\n")
    with pytest.raises(Refused, match=r"own\.yaml:1: format: is '240i'"):
        run(own, json=False, sources=sources(tmp_path))
    out = capsys.readouterr().out
    assert out.startswith("wrong  settings")
    assert "fine   kernel" in out


def busy() -> Lamps:
    """Lamps whose lines are taken."""
    raise OSError("GPIO 17 is taken")


def trial(keys: MemoryKeys, lamps: MemoryLamps | None = None) -> tuple[set[str], list[str]]:
    """What never came, and what was said."""
    said: list[str] = []
    openers: list[tuple[str, type[Keys] | object]] = [("keys", lambda: keys)]
    missing = try_out(load(), openers, (lambda: lamps) if lamps else busy, SimulatedWaiter(), said.append)  # type: ignore[arg-type]
    return missing, said


def test_trial() -> None:
    """Each lamp is lit alone in turn, each key named once a press, chatter or not; it ends when all have come."""
    keys, lamps = MemoryKeys(), MemoryLamps()
    for n, key in enumerate(("forward", "back", "go", "vary", "note")):
        keys.chatter(key, True, 5.0 + n)
        keys.chatter(key, False, 5.5 + n)
    missing, said = trial(keys, lamps)
    assert missing == set()
    assert [line for line in said if line.startswith("key ")] == [
        "key forward",
        "key back",
        "key go",
        "key vary",
        "key note",
    ]
    assert lamps.changes == [Lit(), Lit(ready=True), Lit(running=True), Lit(attention=True), Lit()]
    assert said[-1] == "every key came"
    assert keys.closed


def test_trial_of_a_broken_box() -> None:
    """Lamps that cannot be had are said and passed over; keys that never come are named when patience ends."""
    keys = MemoryKeys()
    keys.press("go", 3.0)
    missing, said = trial(keys)
    assert missing == {"forward", "back", "vary", "note"}
    assert said[0] == "lamps: GPIO 17 is taken"
    assert said[-1] == "never came: back, forward, note, vary"


def test_trial_leaves_the_keyboard_to_others(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Input devices are not grabbed for the trial: Ctrl+C on the keyboard that started it must be heard."""

    def opened(keymap: dict[str, str], *, grab: bool) -> Any:
        raise KeysTrouble(f"{len(keymap)} keys, grabbed: {grab}")

    monkeypatch.setattr("appliance.hardware.keys.input_devices.InputKeys", opened)
    own = tmp_path / "own.yaml"
    own.write_text(
        "keys:\n  single: {forward: none, back: none, go: none, vary: none, note: none}\n"
        "lamps: {ready: none, running: none, attention: none}\n"
    )
    _try_out(load(own))
    assert capsys.readouterr().out == f"input devices: {len(load().keys.devices.keys)} keys, grabbed: False\n"


def test_what_was_typed_is_forgotten() -> None:
    """Keys pressed during the trial do not reach the shell that reads the terminal next; later ones do."""
    keyboard, terminal = os.openpty()
    tty.setraw(terminal)
    os.write(keyboard, b"vn\r")
    assert select.select([terminal], [], [], 1)[0]
    forget_typed(terminal)
    assert not select.select([terminal], [], [], 0)[0]
    os.write(keyboard, b"ls")
    assert os.read(terminal, 9) == b"ls"
    os.close(keyboard)
    os.close(terminal)
