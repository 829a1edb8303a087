"""The moving crosshatch: what the box says it missed is what the card says, and each field moves on by as much."""

import re
from collections import Counter
from itertools import pairwise

import pytest

from tests.machine.box.handle import QUICK, Box

pytestmark = pytest.mark.machine


def test_missed_fields_are_those_of_the_card(box: Box) -> None:
    """Ten seconds of movement: fields and missed ones as in the card's log, and nearly none of them missed."""
    box.start(QUICK)
    box.press("forward")
    box.wait_picture("moving-crosshatch:across")
    standing = box.machine.scanout(pixels=False).fb
    begun = box.press("go")[0]
    box.wait("ten seconds of movement", lambda: box.now() > begun + 10)
    ended = box.press("go")[0]
    (said,) = box.wait("the count", lambda: box.said("moved for", begun))
    told, missed = map(int, re.findall(r"moved for (\d+) fields, (\d+) missed", said)[0])
    fields = [field for field in box.machine.fields() if field.stamp > begun - 0.1]
    moving = [field for field in fields if field.stamp < ended + 0.5]
    first = next(n for n, field in enumerate(moving) if field.fb != standing)
    last = max(n for n, (a, b) in enumerate(pairwise(moving), 1) if a.offset != b.offset and b.stamp < ended + 0.4)
    run = moving[first : last + 1]
    still = sum(a.fb == b.fb for a, b in pairwise(run[:-1]))
    late = sum(field.late for field in run)
    print(f"moved for {told} fields, {missed} missed; by the card {still}, the emulator late for {late}")
    assert missed == still
    assert abs(told - len(run)) <= 2
    assert missed <= 0.1 * told + late
    _check_pace([(field.offset % field.pitch // 4, field.offset // field.pitch) for field in run[:-1]])


def _check_pace(places: list[tuple[int, int]]) -> None:
    """Across: from field to field the window moves by one distance, but where it comes round or a field was missed."""
    moves = Counter(b[0] - a[0] for a, b in pairwise(places))
    assert {y for _, y in places} == {places[0][1]}
    (distance, often), *_ = moves.most_common()
    assert distance
    assert often >= 0.8 * len(places)


@pytest.mark.parametrize("key", ["back", "note", "vary", "go"])
def test_every_key_stops_it(box: Box, key: str) -> None:
    """While it moves any key stops it; the picture then stands."""
    box.start(QUICK)
    box.press("forward", "go")
    begun = box.now()
    box.wait("a second of movement", lambda: box.now() > begun + 1)
    assert len({field.fb for field in box.machine.fields() if field.stamp > begun}) > 20
    box.press(key)
    stopped = box.now()
    box.wait("three seconds", lambda: box.now() > stopped + 3)
    assert len({field.fb for field in box.machine.fields() if field.stamp > stopped + 2.2}) == 1
