"""Debouncer and grammar together, as the service uses them."""

from appliance.presses.debounce import LOCK_OUT
from appliance.presses.edges import Edge
from appliance.presses.press import Kind
from appliance.presses.reader import Reader


def bouncing(key: str, down: bool, at: float) -> list[Edge]:
    """An edge that bounces five times within 4 ms."""
    return [Edge(key, down if n % 2 == 0 else not down, at + n * 0.001) for n in range(5)]


def test_bouncing_press_of_forward_is_one_step_at_once() -> None:
    """The first edge of a bouncing contact steps, and the rest of the burst does nothing."""
    reader = Reader()
    presses = list(reader.take(bouncing("forward", True, 1.0), 1.004))
    assert [(p.kind, p.at) for p in presses] == [(Kind.TOUCH, 1.0), (Kind.SHORT, 1.0)]
    assert list(reader.take(bouncing("forward", False, 1.2), 1.3)) == []


def test_release_that_waited_is_not_overtaken_by_the_held_meaning() -> None:
    """A slow loop that reads down and up together after more than a second still hears a short press."""
    reader = Reader()
    presses = list(reader.take([Edge("go", True, 1.0), Edge("go", False, 1.3)], 3.0))
    assert [p.kind for p in presses] == [Kind.TOUCH, Kind.SHORT]


def test_spend_while_taking_keeps_the_rest_from_coming() -> None:
    """Spending on the touch leaves nothing of that press, and the next one is whole again."""
    reader = Reader()
    kinds = []
    for press in reader.take([Edge("forward", True, 1.0)], 1.0):
        kinds.append(press.kind)
        reader.spend()
    assert kinds == [Kind.TOUCH]
    assert reader.tick(9.0) == []
    assert reader.edge(Edge("forward", False, 10.0)) == []
    assert [p.kind for p in reader.edge(Edge("forward", True, 11.0))] == [Kind.TOUCH, Kind.SHORT]


def test_due_is_the_nearer_of_both() -> None:
    """First the end of the lock-out is waited for, then the held meaning, then nothing once the key is up."""
    reader = Reader()
    reader.edge(Edge("go", True, 1.0))
    assert reader.due() == 1.0 + LOCK_OUT
    reader.tick(1.1)
    assert reader.due() == 2.0
    assert [p.kind for p in reader.tick(2.0)] == [Kind.HELD]
    reader.edge(Edge("go", False, 3.0))
    reader.tick(4.0)
    assert reader.due() is None


def test_tap_shorter_than_the_lock_out_is_a_short_press() -> None:
    """A tap of 5 ms on go is heard at the end of the lock-out."""
    reader = Reader()
    presses = list(reader.take([Edge("go", True, 1.0), Edge("go", False, 1.005)], 1.0 + LOCK_OUT))
    assert [(p.kind, p.at) for p in presses] == [(Kind.TOUCH, 1.0), (Kind.SHORT, 1.0 + LOCK_OUT)]


def test_chattering_key_does_not_make_others_deaf() -> None:
    """While one contact chatters without end another key's touch still comes, so a bright screen can be blanked."""
    reader = Reader()
    noise = [Edge("vary", n % 2 == 0, n * 0.003) for n in range(400)]
    edges = sorted([*noise, Edge("go", True, 0.6)], key=lambda edge: edge.at)
    touched = [p for p in reader.take(edges, 1.3) if p.kind is Kind.TOUCH and p.key == "go"]
    assert [p.at for p in touched] == [0.6]


def test_repeat_can_be_set_while_running() -> None:
    """The service sets how held keys repeat when the activity changes."""
    reader = Reader()
    reader.repeat = "growing"
    reader.edge(Edge("forward", True, 0.0))
    reader.tick(0.5)
    assert reader.repeat == "growing"
    assert reader.due() == 0.75


def test_held_and_stuck_are_told() -> None:
    """What is down, and what has been so for too long, can be asked for."""
    reader = Reader()
    reader.edge(Edge("vary", True, 0.0))
    assert reader.held("vary")
    assert reader.stuck() == ()
    reader.tick(31.0)
    assert reader.stuck() == ("vary",)
