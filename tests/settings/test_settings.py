"""The settings that ship, and a person's own over them."""

from itertools import pairwise
from pathlib import Path

import pytest

from appliance.errors import Refused
from appliance.presses.edges import KEYS
from appliance.settings import Choice, Settings, load, load_or_default, own_file
from appliance.settings.checks import used_pins
from appliance.settings.tree import KEY_NAMES
from appliance.settings.values import kernel_keys
from appliance.shipped import shipped
from appliance.video.formats import find_format, find_mode


def own(tmp_path: Path, text: str) -> Path:
    """A settings file holding ``text``."""
    path = tmp_path / "own.yaml"
    path.write_text(text, "utf-8")
    return path


def refusal(path: Path) -> str:
    """What loading ``path`` says, without the folder."""
    with pytest.raises(Refused) as caught:
        load(path)
    return str(caught.value).removeprefix(f"{path.parent}/")


def test_what_ships() -> None:
    """The shipped settings are valid, and give the signal, the times, the keys and the lamps the box is drawn with."""
    settings = load()
    assert (settings.format, settings.system) == ("240p", "NTSC")
    assert (settings.stress.seconds, settings.stress.purity, settings.caption.seconds) == (10, 10, 4)
    assert settings.keys.single.pins == {"forward": 5, "back": 6, "go": 13, "vary": 19, "note": 26}
    assert settings.lamps.pins == {"ready": 17, "running": 27, "attention": 22}
    assert settings.folders.state == Path("/var/lib/fieldmouse")


def test_every_choice_is_a_mode() -> None:
    """Each choice that ships makes a mode, and what the box starts with is the first of them."""
    settings = load()
    for choice in settings.choices:
        find_mode(find_format(choice.format), choice.system)
    assert settings.choices[0] == Choice(settings.format, settings.system)


def test_number_pad_lies_as_the_zones() -> None:
    """The nine digits of a number pad, read off it from the top left, are zones 1 to 9 (7 8 9 are its top row)."""
    keys = load().keys.devices.keys
    assert [keys[f"KEY_KP{digit}"] for digit in "789456123"] == list("123456789")


def test_every_key_is_explained() -> None:
    """Each key of the shipped file has a comment: above it, or above a run of its neighbours that it opens."""
    lines = shipped("config/fieldmouse.yaml").read_text("utf-8").splitlines()
    bare = [
        line
        for above, line in pairwise(lines)
        if ":" in line and not line.endswith(":") and not line.lstrip().startswith(("#", "-")) and not above.strip()
    ]
    assert bare == []


def test_same_key_names() -> None:
    """The keys that settings know are the keys there are."""
    assert KEY_NAMES == KEYS


def test_own_over_shipped(tmp_path: Path) -> None:
    """A person's file changes what it says, deep inside a group too, and nothing else."""
    text = "stress: {seconds: 20}\nkeys:\n  single: {note: none}\n  devices:\n    map: {KEY_A: go, KEY_KP0: none}\n"
    settings, usual = load(own(tmp_path, text)), load()
    assert (settings.stress.seconds, settings.stress.purity) == (20, usual.stress.purity)
    assert "note" not in settings.keys.single.pins
    assert settings.keys.single.go == usual.keys.single.go
    assert settings.keys.devices.keys["KEY_A"] == "go"
    assert "KEY_KP0" not in settings.keys.devices.keys
    assert settings.keys.devices.keys["KEY_KP1"] == "7"
    assert settings.lamps == usual.lamps


def test_pad(tmp_path: Path) -> None:
    """A pad in use takes its lines, and may blank a crossing."""
    text = (
        "keys:\n  pad:\n    use: true\n    rows: [2, 3]\n    columns: [4, 7]\n    layout: [[go, none], [vary, note]]\n"
    )
    settings = load(own(tmp_path, text))
    assert settings.keys.pad.layout == (("go", None), ("vary", "note"))
    assert {pin for _, pin in used_pins(settings)} >= {2, 3, 4, 7}


def test_a_pad_not_in_use_takes_no_lines(tmp_path: Path) -> None:
    """The lines that the shipped pad would use are free while it is not used."""
    assert load(own(tmp_path, "lamps: {ready: 12}\n")).lamps.ready == 12


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("stress: {seconds: 61}", "1: stress.seconds: is '61'; a whole number of seconds from 1 to 60 is wanted"),
        ("stress:\n  seconds: 010", "2: stress.seconds: is '010'; a whole number of seconds from 1 to 60 is wanted"),
        ("stress: {seconds: 1_0}", "1: stress.seconds: is '1_0'; a whole number of seconds from 1 to 60 is wanted"),
        ("stress: {seconds: 0xa}", "1: stress.seconds: is '0xa'; a whole number of seconds from 1 to 60 is wanted"),
        ("caption: {seconds: 0:10}", "1: caption.seconds: is '0:10'; a whole number of seconds from 1 to 30 is wanted"),
        ("caption: {seconds: 4.0}", "1: caption.seconds: is '4.0'; a whole number of seconds from 1 to 30 is wanted"),
        ("caption: {seconds: ~}", "1: caption.seconds: is '~'; a whole number of seconds from 1 to 30 is wanted"),
        ("caption:\n  seconds:\n\n", "2: caption.seconds: nothing is written; a whole number of seconds from 1 to 30"),
        ("keys: {pad: {use: yes}}", "1: keys.pad.use: is 'yes'; true or false is wanted"),
        ("keys: {devices: {use: off}}", "1: keys.devices.use: is 'off'; true or false is wanted"),
        ("lamps: {ready: 28}", "1: lamps.ready: is '28'; a whole number from 0 to 27, or none is wanted"),
        ("lamps: {ready: -1}", "1: lamps.ready: is '-1'; a whole number from 0 to 27, or none is wanted"),
        ("lamps: {raedy: 3}", "1: lamps.raedy: unknown; the nearest is ready, and there are ready, running, attention"),
        ("lamps:\n  ready: 5", "2: lamps.ready: GPIO 5 is also keys.single.forward; a line of its own is wanted"),
        ("keys:\n single:\n  go: 22\n", "3: keys.single.go: GPIO 22 is also lamps.attention; a line of its own"),
        ("lamps: {ready: 1}\nlamps: {ready: 2}", "2: lamps: written twice, first on line 1; keep one of them"),
        ("screen:", "1: screen: nothing is written; its keys are wanted beneath it: connector"),
        ("screen: [auto]", "1: screen: is a list; its keys are wanted beneath it: connector"),
        ("screen: {connector: [a, b]}", "1: screen.connector: holds more than one value; auto, or a name such as"),
        ("choices: 240p NTSC", "1: choices: is '240p NTSC'; a list is wanted"),
        ("choices: []", "1: choices: are 0; one to 8 are wanted"),
        ("choices:\n- 240p NTSC\n- 240p PAL", "3: choices.2: is '240p PAL'; a format and a system that go together"),
        ("choices:\n- 240p NTSC\n- 240p NTSC", "3: choices.2: 240p NTSC is there twice; keep one of them"),
        ("format: 240i", "1: format: is '240i'; one of 240p, 480i, 288p, 576i is wanted"),
        ("format: 288p", "1: format: is '288p', which does not go with the system NTSC; one of PAL, PAL-N, mono is"),
        (
            "folders: {state: here}",
            "1: folders.state: is 'here'; the full name of a folder, beginning with / is wanted",
        ),
        (
            "keys: {devices: {map: {KEY_FORWRD: go}}}",
            "1: keys.devices.map.KEY_FORWRD: is 'KEY_FORWRD'; a key's name in the kernel, such as KEY_KP1, is wanted; "
            "the nearest is KEY_FORWARD",
        ),
        (
            "keys:\n devices:\n  map:\n   KEY_A: go\n   kp1: go\n   KEY_FOO: go",
            "5: keys.devices.map.kp1: is 'kp1'; a key's name in the kernel, such as KEY_KP1, is wanted; the nearest is "
            "KEY_KP1 (and 1 more)",
        ),
        ("keys: {devices: {map: {KEY_MAX: go}}}", "1: keys.devices.map.KEY_MAX: is 'KEY_MAX'; a key's name in the"),
        (
            "keys:\n single:\n  active: high",
            "3: keys.single.active: with pull: up and active: high every key is pressed at rest; low is wanted",
        ),
        (
            "keys:\n single:\n  pull: down",
            "3: keys.single.pull: with pull: down and active: low every key is pressed at rest; up or none is wanted",
        ),
        (
            "keys:\n single:\n  active: high\n  pull: up",
            "4: keys.single.pull: with pull: up and active: high every key is pressed at rest; down or none is wanted",
        ),
        ("keys: {devices: {map: {KEY_A: stop}}}", "1: keys.devices.map.KEY_A: is 'stop'; one of forward, back, go,"),
        (
            "keys:\n single: {forward: none, back: none, go: none, vary: none, note: none}\n devices: {use: false}",
            "1: keys: leave nothing to press;",
        ),
        (
            "keys: {pad: {use: true, layout: [[go]]}}",
            "1: keys.pad.layout: has 1 rows of 1 keys; 4 rows of 3 are wanted",
        ),
        (
            "keys: {pad: {use: true, rows: []}}",
            "1: keys.pad.rows: is empty; the pad's GPIO lines are wanted (and 1 more)",
        ),
        (
            "gpio: {factory: smoke}",
            "1: gpio.factory: is 'smoke'; one of fieldmouse, lgpio, rpigpio, native, pigpio, mock",
        ),
    ],
)
def test_refused(tmp_path: Path, text: str, says: str) -> None:
    """Each mistake is told by file, line and key, with what is wrong and what is allowed."""
    assert refusal(own(tmp_path, text)).startswith(f"own.yaml:{says}")


@pytest.mark.parametrize("single", ["pull: none, active: high", "pull: none, active: low", "pull: down, active: high"])
def test_resistors_that_serve(single: str, tmp_path: Path) -> None:
    """A person's own resistors, and the chip's that pull away from the level of a pressed key, are taken."""
    assert load(own(tmp_path, f"keys: {{single: {{{single}}}}}")).keys.single.pull == single.split()[1].rstrip(",")


def test_a_resistor_without_keys(tmp_path: Path) -> None:
    """Where there is no single key its resistor is nobody's mistake."""
    nobody = "forward: none, back: none, go: none, vary: none, note: none"
    assert not load(own(tmp_path, f"keys: {{single: {{{nobody}, active: high}}}}")).keys.single.pins


def test_many_unknown_keys_are_told_soon(tmp_path: Path) -> None:
    """Looking for the nearest name is slow, so it is done for the one mistake told (else this takes minutes)."""
    text = "keys:\n devices:\n  map:\n" + "".join(f"   KEY_NONE_{n}: go\n" for n in range(9000))
    assert refusal(own(tmp_path, text)).endswith("(and 8999 more)")


def test_kernel_keys_are_the_kernels() -> None:
    """Every name that the evdev package took from its kernel's headers may be written; none is a bound, no key's."""
    evdev = pytest.importorskip("evdev", reason="the Python package evdev is not installed")
    theirs = {name for name in evdev.ecodes.ecodes if name.startswith(("KEY_", "BTN_"))}
    assert theirs - set(kernel_keys()) == {"KEY_MAX", "KEY_CNT"}


def test_how_many_more(tmp_path: Path) -> None:
    """One line names the first mistake in the file, and how many more there are."""
    text = "caption: {seconds: 99}\nstress: {seconds: no}\nshape: round\n"
    said = refusal(own(tmp_path, text))
    assert said.startswith("own.yaml:1: caption.seconds:")
    assert said.endswith("(and 2 more)")
    assert "\n" not in said


def test_a_box_comes_up(tmp_path: Path) -> None:
    """A box with bad settings has those that ship, and the mistake to show; with good ones no mistake."""
    settings, mistake = load_or_default(own(tmp_path, "format: 240i\n"))
    assert settings == load()
    assert mistake is not None
    assert "format" in str(mistake)
    good, none = load_or_default(own(tmp_path, "format: 480i\n"))
    assert (good.format, none) == ("480i", None)


def test_own_file(tmp_path: Path) -> None:
    """The box's own file is read when it is there, and not missed when it is not."""
    assert own_file(tmp_path / "no.yaml") is None
    assert own_file(own(tmp_path, "")) == tmp_path / "own.yaml"


def test_frozen() -> None:
    """Settings cannot be changed after they were read."""
    with pytest.raises(AttributeError, match="cannot assign"):
        load().stress.seconds = 5  # type: ignore[misc]


def test_type() -> None:
    """What is loaded is a Settings."""
    assert isinstance(load(), Settings)
