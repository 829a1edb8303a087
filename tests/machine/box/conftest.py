"""The box of the session's machine. What a test hurt is whole again for the next."""

from collections.abc import Iterator

import pytest

from tests.machine.box.handle import KEYS, Box
from tests.machine.machine import Machine

_boxes: dict[int, Box] = {}


@pytest.fixture
def box(machine: Machine) -> Iterator[Box]:
    """The box, as the test before left it; a test starts it as it wants it."""
    # Kept through the session, since it knows what it drew.
    yield (found := _boxes.setdefault(id(machine), Box(machine)))
    if machine.running:
        for line in KEYS.values():
            found.machine.ask("release", key=line)
