"""The white stress by the card's own log of fields: its length, its end, and black at a touch."""

from collections import Counter
from itertools import groupby, pairwise
from math import ceil
from statistics import median

import pytest

from tests.machine.box.handle import KEYS, QUICK, Box, Event, presses, whole_flashes
from tests.machine.machine import Field

pytestmark = pytest.mark.machine

RATE = 13_500_000 / 858 / 262  # fields a second of 240p
LONG_PURITY = "caption:\n  seconds: 1\nstress:\n  purity: 10\n"


def _go_to_white(box: Box, settings: str) -> None:
    """Started, and stepped back to white."""
    box.drawn("black:0", "red:100", "green:100", "blue:100", fmt="240p")  # drawing takes longer than they stand
    box.start(settings)
    box.go_to("white")


def _caution(box: Box) -> None:
    """The first go: its caution must have been seen for a moment before the second one starts."""
    asked = box.press("go")[0]
    box.wait("the caution", lambda: box.unlike(asked)[1], every=0.5)
    seen = box.now()
    box.wait("it to be read", lambda: box.now() > seen + 0.8)


def _runs(fields: list[Field]) -> list[list[Field]]:
    """Fields of one framebuffer after another."""
    return [list(run) for _, run in groupby(fields, key=lambda field: field.fb)]


def test_lasts_its_count_and_ends_in_the_purity_fields(box: Box) -> None:
    """Ten seconds of white are as many fields as the box says; then red, green and blue; lamps all through."""
    _go_to_white(box, LONG_PURITY)
    running, attention = box.watch("running", 120, "/run/stress-over"), box.watch("attention", 120, "/run/stress-over")
    _caution(box)
    assert not box.lit("running")
    started = box.press("go")[0]
    box.wait("white", lambda: box.unlike(started)[1], every=0.1)
    white = box.machine.scanout()
    red = box.wait_picture("red:100")
    fields = [field for field in box.machine.fields() if field.stamp > started]
    assert box.lit("running")  # steady: what was timed is done
    box.wait_picture("green:100")
    box.wait_picture("blue:100")
    box.wait("the lamp to go out", lambda: not box.lit("running"))
    box.machine.write("/run/stress-over", "")
    blinks, never = running(), attention()

    words = Counter(white.rows[n : n + 4] for n in range(0, len(white.rows), 4))
    assert words.most_common(1)[0][0][:3] == b"\xff\xff\xff"
    assert words.most_common(1)[0][1] > 0.97 * 720 * 240  # the seconds left stand in a corner

    runs = _runs(fields)
    before = next(n for n, run in enumerate(runs) if n and run)  # the first run is the caution still
    first, last = runs[before][0], [run for run in runs if run[0].fb == red.fb][-1][0]
    shown = round((last.stamp - first.stamp) * RATE)
    asked = ceil(10 * RATE)
    said = box.said("white stress:", started)[0]
    assert said == f"white stress: {shown} fields shown of {asked} asked"
    lost = sum(field.late for field in fields if last.stamp - 0.2 < field.stamp <= last.stamp)
    assert asked <= shown <= asked + 2 + lost
    assert all(not lit for _, lit in never)
    _check_blinks(blinks, first.stamp, last.stamp)


def _check_blinks(seen: list[tuple[float, bool]], begin: float, end: float) -> None:
    """Once a second, four times a second over the last three, steady from the count's end on."""
    flashes = [at for at, lit in seen if lit and begin - 0.3 < at < end - 0.05]
    slow = [at for at in flashes if at < end - 3.2]
    assert 6 <= len(slow) <= 8
    assert 9 <= len(flashes) - len(slow) <= 14
    assert max(b - a for (a, lit), (b, _) in pairwise(seen) if lit) > 15  # s: the steady lamp


def test_any_key_makes_it_black_at_once_and_it_stays(box: Box) -> None:
    """Each key, pressed under full white, gives black within two fields, and nothing but a key ends the black."""
    _go_to_white(box, QUICK)
    waits = {key: _quickest(box, key) for key in KEYS}
    print("fields of white after the key, by key:", waits)
    assert max(waits.values()) <= 2


def _quickest(box: Box, key: str) -> float:
    """The first try within two fields, else the quickest of three: the host may stop the emulator for longer."""
    waits: list[float] = []
    while len(waits) < 3 and min(waits, default=9.0) > 2:
        waits.append(_panic(box, key))
    return min(waits)


def _panic(box: Box, key: str) -> float:
    """Full white, then ``key``; fields from the edge to the first black one, less those the emulator came late for."""
    line = KEYS[key]
    _caution(box)
    panic: list[Event] = [(2.0, "down", line), (2.1, "up", line)]
    stamps = box.machine.play([*presses("go"), *panic])
    edge = stamps[2][1]
    first = key == "forward"  # one is watched for long; the others say how soon it comes
    watching = box.watch("attention", 7) if first else None
    black = box.wait_picture("black:0")
    stood = edge + (3 if first else 1)
    box.wait("black that stays", lambda: box.now() > stood)
    same, after = box.unlike(edge)
    assert {field.fb for field in after} == {black.fb}
    assert not box.said("white stress:", stamps[0][0])  # a count cut short is none
    if watching:
        flashes = whole_flashes(watching())
        assert flashes  # slow: black is meant
        assert median(lit for lit, _ in flashes) > 0.6  # s; a trouble's count has flashes of 0.2
    assert not box.lit("running")
    box.press("note")
    box.wait("the end of the black", lambda: box.machine.scanout(pixels=False).fb != black.fb)
    return (after[0].stamp - edge) * RATE - sum(field.late for field in same)
