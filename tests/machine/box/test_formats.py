"""Formats and colour systems on the connector, switched by keys, kept, taken back, and chosen blind."""

from fractions import Fraction

import pytest

from tests.machine.box.handle import KEYS, LAMPS, QUICK, Box

pytestmark = pytest.mark.machine

# Lines as the kernel's drivers/gpu/drm/vc4/vc4_vec.c and Raspberry Pi's 6.12 list them; last: interlaced.
LINES = {
    "240p": (13500, 720, 734, 798, 858, 240, 243, 246, 262, 0),
    "480i": (13500, 720, 734, 798, 858, 480, 487, 493, 525, 1),
    "288p": (13500, 720, 740, 804, 864, 288, 290, 293, 312, 0),
    "576i": (13500, 720, 740, 804, 864, 576, 580, 586, 625, 1),
}
# Fields a second: ITU-R BT.470 and BT.601 for the interlaced two; a whole number of their lines for the others.
RATES = {
    "240p": Fraction(13_500_000, 858 * 262),
    "480i": Fraction(60_000, 1001),
    "288p": Fraction(15_625, 312),
    "576i": Fraction(50),
}
TV_MODES = {"PAL-60": "PAL", "mono": "Mono"}

FIRST = ["240p NTSC", "240p NTSC-J", "240p PAL-M", "240p PAL-60", "240p mono", "480i NTSC", "480i NTSC-J", "480i PAL-M"]
SECOND = ["480i PAL-60", "480i mono", "288p PAL", "288p PAL-N", "288p mono", "576i PAL", "576i PAL-N", "576i mono"]


def _settings(choices: list[str]) -> str:
    fmt, system = choices[0].split()
    listed = "".join(f"  - {choice}\n" for choice in choices)
    return f"{QUICK}format: {fmt}\nsystem: {system}\nchoices:\n{listed}"


def _wait_mode(box: Box, choice: str) -> None:
    fmt, system = choice.split()
    wanted = (LINES[fmt], TV_MODES.get(system, system))
    box.wait(f"{choice} on the connector", lambda: box.mode() == wanted)


@pytest.mark.parametrize("choices", [FIRST, SECOND], ids=["first-eight", "other-eight"])
def test_every_format_and_system(box: Box, choices: list[str]) -> None:
    """Stepped by go + vary, each is up with its modeline, ``TV mode`` and exact rate."""
    box.start(_settings(choices))
    for choice in choices:
        _wait_mode(box, choice)
        box.press("go")  # keeps it
        assert box.rate() == pytest.approx(float(RATES[choice.split()[0]]), rel=1e-6)
        box.hold("go", "vary", seconds=2.2)
    _wait_mode(box, choices[0])


def test_comes_back_unless_kept(box: Box) -> None:
    """NTSC to PAL and 525 to 625 lines by keys; without go the old format is back by itself after ten seconds."""
    box.start(QUICK)
    box.wait_remembered("240p", "NTSC", "crosshatch", "white")
    box.hold("go", "vary", seconds=2.2)
    box.press("forward")
    _wait_mode(box, "288p PAL")
    offered = box.mode_fields()[0].stamp
    box.wait("240p again", lambda: box.mode() == (LINES["240p"], "NTSC"))
    assert box.mode_fields()[0].stamp - offered == pytest.approx(10, abs=0.7)
    box.wait_picture("crosshatch:white")
    assert box.remembered() == ("240p", "NTSC", "crosshatch", "white")


def test_note_takes_an_offer_back(box: Box) -> None:
    """note brings the old format back at once."""
    box.start(QUICK)
    box.hold("go", "vary", seconds=2.2)
    _wait_mode(box, "480i NTSC")
    pressed = box.press("note")[0]
    _wait_mode(box, "240p NTSC")
    assert box.mode_fields()[0].stamp - pressed < 2


def test_go_keeps_an_offer(box: Box) -> None:
    """Kept by go, 625-line PAL stays past the ten seconds and over a restart, and goes back to NTSC by keys."""
    box.start(QUICK)
    box.hold("go", "vary", seconds=2.2)
    box.press("forward")
    _wait_mode(box, "288p PAL")
    offered = box.mode_fields()[0].stamp
    box.press("go")
    box.wait_picture("crosshatch:white", "288p")
    box.wait_remembered("288p", "PAL", "crosshatch", "white")
    box.wait("eleven seconds", lambda: box.now() > offered + 11)
    assert box.mode() == (LINES["288p"], "PAL")
    box.start(QUICK, forget=False)
    assert box.mode() == (LINES["288p"], "PAL")
    box.hold("go", "vary", seconds=2.2)
    box.press("back", "back", "go")
    _wait_mode(box, "480i NTSC")


def test_blind_choice_at_power_up(box: Box) -> None:
    """vary held from before the start steps the formats; the running lamp counts which; letting go keeps it."""
    watching = box.watch("running", 120, until="/run/chosen")
    # A simulated line goes up when its pull-up is asked for, whatever holds it down; so the resistor is elsewhere here.
    box.start(f"{QUICK}keys:\n  single:\n    pull: none\n", held=["vary"], wait=False)
    box.wait("the third choice", lambda: box.mode() == (LINES["288p"], "PAL"), every=0.1)
    third = box.mode_fields()[0].stamp
    box.wait("its count", lambda: box.now() > third + 2.2, every=0.1)
    box.machine.ask("release", key=KEYS["vary"])
    box.wait("the lamp to end", lambda: not box.machine.lamp(LAMPS["running"]))
    box.machine.write("/run/chosen", "")
    lit = [at for at, on in watching() if on]
    assert sum(third - 0.3 < at < third + 2.2 for at in lit) == 3
    box.wait_picture("crosshatch:white", "288p")
    box.wait_remembered("288p", "PAL", "crosshatch", "white")
