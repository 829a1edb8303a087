"""What every source of keys keeps, tried on each."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from appliance.hardware.keys.protocol import KeysTrouble
from tests.hardware.keys.rigs import RIGS, Rig


@pytest.fixture(params=RIGS)
def rig(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Rig]:
    """Each source in turn; closed twice at the end, which must be harmless."""
    made = RIGS[request.param](tmp_path)
    yield made
    made.keys.close()
    made.keys.close()
    made.done()


def test_silent_until_touched(rig: Rig) -> None:
    """With nothing down, nothing is told, and the loop is not woken again."""
    rig.open()
    assert rig.hear() == []
    assert not rig.awake()
    assert rig.keys.due() is None


def test_press_and_release(rig: Rig) -> None:
    """A press wakes the loop and tells an edge down, its release an edge up; then it is quiet."""
    rig.open()
    rig.hear()
    rig.move("go", True)
    assert rig.awake()
    assert rig.hear() == [("go", True)]
    rig.move("go", False)
    assert rig.hear() == [("go", False)]
    assert rig.hear(60.0) == []
    assert rig.keys.due() is None


def test_held_key_tells_nothing_more(rig: Rig) -> None:
    """However long a key is held, it is told once."""
    rig.open()
    rig.move("note", True)
    assert rig.hear(10.0) == [("note", True)]


def test_two_keys_together(rig: Rig) -> None:
    """A second key is told while the first is held, and each release by itself: pairs can be made."""
    rig.open()
    heard = []
    for key, down in (("go", True), ("vary", True), ("go", False), ("vary", False)):
        rig.move(key, down)
        heard += rig.hear()
    assert heard == [("go", True), ("vary", True), ("go", False), ("vary", False)]


def test_key_down_at_the_start_is_told(rig: Rig) -> None:
    """A key held while the source opens comes out first, so that holding one at power-up means something."""
    rig.move("vary", True)
    rig.open()
    assert rig.awake()
    assert ("vary", True) in rig.hear()


def test_chatter_ends_at_the_right_level(rig: Rig) -> None:
    """A bouncing contact may tell many edges or few, but the last one is right, and levels alternate."""
    rig.open()
    rig.hear()
    for down in (True, False, True, False, True):
        rig.move("go", down)
    heard = rig.hear()
    assert [down for _, down in heard] == [n % 2 == 0 for n in range(len(heard))]
    assert heard[-1] == ("go", True)


def test_unplugged(rig: Rig) -> None:
    """A source pulled out lets go of its keys first; then there is trouble, and the loop comes to hear of it."""
    rig.open()
    if rig.pull is None:
        pytest.skip("cannot be pulled out (mock pins), or is no trouble (an input device: its own tests)")
    rig.move("go", True)
    assert rig.hear() == [("go", True)]
    rig.pull()
    while not rig.awake():
        rig.now += 0.01
    assert [(e.key, e.down) for e in rig.keys.read(rig.now)] == [("go", False)]
    for _ in range(2):
        assert rig.awake()
        with pytest.raises(KeysTrouble):
            rig.keys.read(rig.now)
