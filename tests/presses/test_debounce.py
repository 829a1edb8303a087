"""The debouncer against clean keys, chatter and chance."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from appliance.presses.debounce import LOCK_OUT, Debouncer
from appliance.presses.edges import Edge

BURST = st.lists(st.floats(0.0, 0.9 * LOCK_OUT), max_size=12).map(sorted)


def run(raw: list[Edge], until: float) -> list[Edge]:
    """Everything that comes out of one debouncer, served whenever it asks to be."""
    debouncer, clean = Debouncer(), []
    for edge in raw:
        while (due := debouncer.due()) is not None and due < edge.at:
            clean += debouncer.tick(due)
        clean += debouncer.edge(edge)
    return clean + debouncer.tick(until)


def chatter(key: str, down: bool, start: float, offsets: list[float]) -> list[Edge]:
    """A contact going ``down`` (or up) at ``start``, bouncing at each of ``offsets`` and ending up as it was meant."""
    levels = [down] + [down if n % 2 else not down for n in range(len(offsets) - len(offsets) % 2)]
    return [Edge(key, level, start + offset) for level, offset in zip(levels, [0.0, *offsets], strict=False)]


def test_first_edge_passes_at_once() -> None:
    """A press costs no waiting: the first edge comes out of the call that took it in, with its own time."""
    debouncer = Debouncer()
    assert debouncer.edge(Edge("go", True, 5.0)) == [Edge("go", True, 5.0)]
    assert debouncer.due() == 5.0 + LOCK_OUT


def test_clean_press_and_release_pass_unchanged() -> None:
    """Edges further apart than the lock-out are not touched."""
    raw = [Edge("go", True, 1.0), Edge("go", False, 1.3), Edge("go", True, 1.5), Edge("go", False, 1.6)]
    assert run(raw, 2.0) == raw


def test_press_shorter_than_the_lock_out_is_reported_whole() -> None:
    """A quick tap of a soft key is not lost: its release comes at the end of the lock-out."""
    assert run([Edge("go", True, 1.0), Edge("go", False, 1.005)], 2.0) == [
        Edge("go", True, 1.0),
        Edge("go", False, 1.0 + LOCK_OUT),
    ]


def test_keys_do_not_disturb_one_another() -> None:
    """The lock-out of one key does not hold up another."""
    raw = [Edge("go", True, 1.0), Edge("note", True, 1.001), Edge("go", False, 2.0), Edge("note", False, 2.001)]
    assert run(raw, 3.0) == raw


def test_nothing_due_when_settled() -> None:
    """A settled key, held or not, asks for no wake-up."""
    debouncer = Debouncer()
    debouncer.edge(Edge("go", True, 1.0))
    assert debouncer.tick(1.0 + LOCK_OUT) == []
    assert debouncer.due() is None


def test_unread_older_edge_does_not_turn_time_back() -> None:
    """An edge that waited to be read while the time went on counts as of the latest time."""
    debouncer = Debouncer()
    debouncer.tick(4.0)
    assert debouncer.edge(Edge("go", True, 3.9)) == [Edge("go", True, 4.0)]


def test_endless_chatter_is_bounded() -> None:
    """A contact that never rests gives at most one edge in each lock-out, so it cannot flood the box."""
    raw = [Edge("go", n % 2 == 0, n * 0.001) for n in range(1001)]
    clean = run(raw, 2.0)
    assert 2 <= len(clean) <= 1.0 / LOCK_OUT + 2
    assert clean[-1].down is raw[-1].down


@given(BURST, BURST, st.floats(1.1 * LOCK_OUT, 5.0))
def test_any_burst_is_one_press(pressing: list[float], releasing: list[float], held: float) -> None:
    """Whatever bounces within the lock-out at both ends, exactly one press and one release come out, on first edges."""
    raw = chatter("go", True, 1.0, pressing) + chatter("go", False, 1.0 + held + LOCK_OUT, releasing)
    assert run(raw, 20.0) == [Edge("go", True, 1.0), Edge("go", False, 1.0 + held + LOCK_OUT)]


@given(st.lists(st.tuples(st.sampled_from(["go", "note"]), st.booleans(), st.floats(0.0, 0.05)), max_size=60))
def test_any_edges_at_all(steps: list[tuple[str, bool, float]]) -> None:
    """Any edges whatever: levels alternate, come in order at least a lock-out apart, and the last one is right."""
    at, raw = 0.0, []
    for key, down, gap in steps:
        at += gap
        raw.append(Edge(key, down, at))
    clean = run(raw, at + 1.0)
    assert [e.at for e in clean] == sorted(e.at for e in clean)
    for key in ("go", "note"):
        mine = [e for e in clean if e.key == key]
        assert [e.down for e in mine] == [n % 2 == 0 for n in range(len(mine))]
        assert all(later.at - sooner.at >= LOCK_OUT - 1e-9 for sooner, later in pairwise(mine))
        last = next((e.down for e in reversed(raw) if e.key == key), False)
        assert bool(mine and mine[-1].down) is last


@given(st.lists(st.tuples(st.booleans(), st.floats(LOCK_OUT * 1.01, 1.0)), min_size=1, max_size=30))
def test_no_lasting_change_is_lost(steps: list[tuple[bool, float]]) -> None:
    """Every change of level that lasts longer than the lock-out comes out, at its own time."""
    at, raw, level = 0.0, [], False
    for down, gap in steps:
        at += gap
        if down is not level:
            raw.append(Edge("go", down, at))
            level = down
    assert run(raw, at + 1.0) == raw
