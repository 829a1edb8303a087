"""Every key of the box, and a number pad, at real lines and real events: short, held, paired, with chatter."""

from itertools import pairwise

import pytest

from tests.machine.box.handle import KEYS, QUICK, Box, Event, presses

pytestmark = pytest.mark.machine

EDGES, BOUNCE = 5, 0.001  # edges of a chattering contact each way, s between them
LOCK_OUT = "keys:\n  debounce_ms: 150\n"
BOUNCED = 0.140  # s: a train of bounces that took longer was torn by the host, and proves nothing


def test_short_presses(box: Box) -> None:
    """forward, back and vary step as they say; note brings the caption again; go does nothing to a still picture."""
    box.start(QUICK)
    box.wait_picture("crosshatch:white")
    box.press("forward")
    box.wait_picture(box.pattern(1).first)
    box.press("back")
    box.wait_picture("crosshatch:white")
    box.press("back")
    box.wait_picture(box.pattern(-1).first)
    box.press("forward", "vary")
    box.wait_picture("crosshatch:fine")
    pressed = box.press("note")[0]
    box.wait("the caption", lambda: box.unlike(pressed)[1], every=0.5)
    box.wait_picture("crosshatch:fine")
    stood = box.machine.scanout(pixels=False).fb
    pressed = box.press("go")[0]
    box.wait("a second", lambda: box.now() > pressed + 1)
    assert {field.fb for field in box.machine.fields() if field.stamp > pressed} == {stood}


def test_forward_held_repeats_gently(box: Box) -> None:
    """Held for a good two seconds forward steps again, never more than twice a second, and stops when let go."""
    box.start(QUICK)
    box.wait_picture("crosshatch:white")
    down, up = box.hold("forward", seconds=2.3)
    box.wait("two seconds", lambda: box.now() > up + 2)
    fields = [field for field in box.machine.fields() if down < field.stamp]
    changes = [b.stamp for a, b in pairwise(fields) if a.fb != b.fb]
    steps = [at for at in changes if at < up + 0.2]
    assert 2 <= len(steps) <= 5  # at once, then twice a second; a step that the emulator swallowed is missing
    assert len(changes) - len(steps) <= 1  # the caption that goes
    _wait_kept(box, box.pattern(len(steps)).key)


def test_vary_held_goes_to_the_next_family(box: Box) -> None:
    """vary for a good second shows the first pattern of the next family, and not the next variant."""
    box.start(QUICK)
    own = box.pattern(0).family
    wanted = next(entry for n in range(1, 99) if (entry := box.pattern(n)).family != own)
    box.hold("vary", seconds=1.3)
    box.wait_picture(wanted.first)


def test_go_held_chooses_what_to_do(box: Box) -> None:
    """go for a good second asks what to do over the picture; note leaves it as it was."""
    box.start(QUICK)
    box.wait_picture("crosshatch:white")
    stood = box.machine.scanout(pixels=False).fb
    box.hold("go", seconds=1.3)
    box.wait("the question", lambda: box.machine.scanout(pixels=False).fb != stood)
    asked = box.machine.scanout()
    box.press("forward")
    box.wait("the next choice", lambda: box.machine.scanout().rows != asked.rows)
    box.press("note")
    box.wait_picture("crosshatch:white")
    assert not box.said("white stress")


def test_a_second_key_cancels_both(box: Box) -> None:
    """go and note together for less than three seconds, or vary and back together, mean nothing at all."""
    box.start(QUICK)
    box.wait_picture("crosshatch:white")
    stood = box.machine.scanout(pixels=False).fb
    began = box.now()
    box.hold("go", "note", seconds=1.6)
    box.hold("vary", "back", seconds=0.3)
    box.hold("go", "vary", seconds=1.2)
    box.wait("a second", lambda: box.now() > began + 6)
    assert {field.fb for field in box.machine.fields() if field.stamp > began} == {stood}
    assert box.machine.run("test -e /run/fieldmouse/poweroff").code == 1


def test_chatter_is_one_press(box: Box) -> None:
    """Contacts that bounce on the way down and up are one press: three times, of those the host left whole."""
    # The lock-out that ships is 20 ms; this emulator needs more than that for the edges of one train.
    box.start(QUICK + LOCK_OUT)
    box.wait_picture("crosshatch:white")
    whole = 0
    for _ in range(12):
        before = box.settled()
        if _chattering_press(box):
            assert box.settled() == box.pattern(1, before).key
            whole += 1
        if whole == 3:
            return
    raise AssertionError("the host tore nearly every train of bounces")


def _chattering_press(box: Box) -> bool:
    """One; whether both trains of bounces were as quick as they should be."""
    line = KEYS["forward"]
    down: list[Event] = [(BOUNCE * n, "up" if n % 2 else "down", line) for n in range(EDGES)]
    up: list[Event] = [(0.4 + BOUNCE * n, "down" if n % 2 else "up", line) for n in range(EDGES)]
    stamps = box.machine.play([*down, *up, (0.8, "up", line)])
    return all(part[-1][1] - part[0][0] < BOUNCED for part in (stamps[:EDGES], stamps[EDGES : 2 * EDGES]))


def test_number_pad_plugged_in_and_out(box: Box) -> None:
    """A pad is taken as it comes, its keys step; pulled out with a key down it lets go of it; then it comes again."""
    box.start(QUICK)
    box.wait_picture("crosshatch:white")
    begun = box.now()
    box.machine.ask("plug")
    box.wait_said("keys from number pad", begun)
    box.machine.play([(0.0, "down", "KPASTERISK"), (0.1, "up", "KPASTERISK")])
    box.wait_picture("crosshatch:fine")
    box.machine.play([(0.0, "down", "KPPLUS"), (0.1, "up", "KPPLUS")])
    box.machine.play([(0.0, "down", "KPMINUS"), (0.1, "up", "KPMINUS")])
    box.wait_picture("crosshatch:white")
    _pull_out(box)
    before, again = box.remembered(), box.now()
    box.machine.ask("plug")
    box.wait_said("keys from number pad", again)
    box.machine.play([(0.0, "down", "KPPLUS"), (0.1, "up", "KPPLUS")])
    box.wait("the next pattern", lambda: box.remembered()[2] != before[2])
    box.machine.ask("unplug")


def _pull_out(box: Box) -> None:
    """With a key down, which would step for ever were it not let go of."""
    begun = box.now()
    box.machine.play([(0.0, "down", "KPMINUS")])
    box.machine.ask("unplug")
    box.wait_said("are gone", begun)
    gone = box.now()
    _wait_until(box, gone + 5)
    changes = [b for a, b in pairwise(box.machine.fields()) if a.fb != b.fb and gone + 2 < a.stamp]
    assert len(changes) <= 1  # the caption that goes at the latest; six steps it would be


def _wait_until(box: Box, moment: float) -> None:
    box.wait("time to go by", lambda: box.now() > moment)


def test_a_burst_of_presses_is_counted_right(box: Box) -> None:
    """Ten quick presses forward are ten steps, however slow the drawing."""
    box.start(QUICK)
    box.wait_picture("crosshatch:white")
    box.machine.play(presses(*["forward"] * 10, apart=0.13))
    _wait_kept(box, box.pattern(10).key)


def _wait_kept(box: Box, key: str) -> None:
    """What is remembered is written once it has stood for a second."""
    box.wait(f"{key} to be kept", lambda: box.remembered()[2] == key)
