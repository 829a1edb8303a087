"""The double's own tricks: it chatters and sticks."""

from appliance.hardware.keys.memory import MemoryKeys
from appliance.presses.edges import Edge
from appliance.presses.press import Kind
from appliance.presses.reader import Reader


def test_edges_come_when_their_time_comes() -> None:
    """What is fed in out of order comes out in order, each at its time."""
    keys = MemoryKeys()
    keys.press("go", 2.0, held=0.5)
    keys.press("note", 1.0, held=2.0)
    assert keys.due() == 1.0
    assert keys.read(2.0) == [Edge("note", True, 1.0), Edge("go", True, 2.0)]
    assert keys.read(2.0) == []
    assert keys.read(9.0) == [Edge("go", False, 2.5), Edge("note", False, 3.0)]
    assert keys.due() is None


def test_chatter_is_real_chatter() -> None:
    """A bouncing press gives eleven edges, of which the reader makes one press."""
    keys = MemoryKeys()
    keys.chatter("forward", True, 1.0)
    edges = keys.read(1.5)
    assert len(edges) == 11
    assert [p.kind for p in Reader().take(edges, 1.4)] == [Kind.TOUCH, Kind.SHORT]


def test_stuck_key_does_not_come_up() -> None:
    """Its releases are swallowed."""
    keys = MemoryKeys()
    keys.stick("go")
    keys.press("go", 1.0)
    keys.press("note", 1.0)
    assert keys.read(9.0) == [Edge("go", True, 1.0), Edge("note", True, 1.0), Edge("note", False, 1.1)]
