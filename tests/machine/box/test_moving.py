"""The moving crosshatch: what the box says it missed is what the card says, and each field moves on by as much."""

import re
from collections import Counter
from itertools import pairwise

import pytest

from tests.machine.box.handle import QUICK, Box
from tests.machine.machine import Field

pytestmark = pytest.mark.machine


def test_missed_fields_are_those_of_the_card(box: Box) -> None:
    """Ten seconds of movement: fields and missed ones as in the card's log, and nearly none of them missed."""
    box.start(QUICK)
    box.go_to("moving-crosshatch")
    box.wait_picture("moving-crosshatch:across")
    still = box.machine.scanout(pixels=False)
    begun = box.set_moving()
    box.wait("ten seconds of movement", lambda: box.now() > begun + 10)
    box.press("go")
    (said,) = box.wait_said("moved for", begun)
    told, missed = map(int, re.findall(r"moved for (\d+) fields, (\d+) missed", said)[0])
    # What moves is larger than the screen; the pictures that stand before and after it are not.
    moving = [field for field in box.machine.fields() if field.stamp > begun and field.pitch > still.size[0] * 4]
    flips = [moving[0], *(b for a, b in pairwise(moving) if a.fb != b.fb)]
    gaps = [b.number - a.number for a, b in pairwise(flips)]
    late = sum(field.late for field in moving)
    print(
        f"moved for {told} fields, {missed} missed; by the card {sum(gaps) - len(gaps)}, the emulator late for {late}"
    )
    assert missed == sum(gaps) - len(gaps)
    assert abs(told - sum(gaps)) <= 1
    if late <= 0.01 * told:  # else the host was too busy to tell what the box itself misses
        assert missed <= 0.05 * told
    _check_pace(flips)


def _check_pace(flips: list[Field]) -> None:
    """Across: from a field to the next the window moves by one distance, but where it comes round."""
    moves = Counter(
        (b.offset - a.offset) // 4 for a, b in pairwise(flips) if b.number == a.number + 1 and b.stamp - a.stamp < 0.02
    )
    (distance, often), *_ = moves.most_common()
    assert distance
    assert often >= 0.9 * moves.total()


def test_every_key_stops_it(box: Box) -> None:
    """While it moves any key stops it; the picture then stands."""
    box.start(QUICK)
    box.go_to("moving-crosshatch")
    for key in ("note", "go", "vary", "back"):
        _move_and_stop(box, key)


def _move_and_stop(box: Box, key: str) -> None:
    box.set_moving()
    box.press(key)
    stopped = box.now()
    box.wait("three seconds", lambda: box.now() > stopped + 3)
    late = [field.fb for field in box.machine.fields() if field.stamp > stopped + 2]
    assert len(set(late)) <= 2  # the caption that goes
