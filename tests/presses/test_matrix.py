"""Decoding a pad's scan against a model of its wires."""

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from appliance.presses.matrix import doubtful, keys_down

LAYOUT = (("1", "2", "3"), ("4", "5", "6"), ("7", "8", "9"), ("back", "0", "go"))
PLACES = tuple(product(range(4), range(3)))
NAME = {place: LAYOUT[place[0]][place[1]] for place in PLACES}


def scan_of(pressed: set[tuple[int, int]]) -> list[list[bool]]:
    """What a pad without diodes reads: every column joined to the driven row by any path of pressed keys."""
    return [[("c", column) in reach(("r", row), pressed) for column in range(3)] for row in range(4)]


def reach(start: tuple[str, int], pressed: set[tuple[int, int]]) -> set[tuple[str, int]]:
    """The wires joined to ``start``, by flooding the graph of rows and columns."""
    seen, todo = {start}, [start]
    while todo:
        kind, number = todo.pop()
        here = [place for place in pressed if place["rc".index(kind)] == number]
        joined = {("c", c) if kind == "r" else ("r", r) for r, c in here}
        todo += joined - seen
        seen |= joined
    return seen


def test_single_keys() -> None:
    """Each key alone is told by its crossing."""
    for place in PLACES:
        assert keys_down(scan_of({place}), LAYOUT) == {NAME[place]}


@given(st.sets(st.sampled_from(PLACES), max_size=2))
def test_two_keys_are_never_doubtful(pressed: set[tuple[int, int]]) -> None:
    """Any two keys, so every pair of the grammar, are told for certain."""
    assert keys_down(scan_of(pressed), LAYOUT) == {NAME[p] for p in pressed}


def test_three_corners_make_no_fourth() -> None:
    """With three corners of a rectangle down the fourth reads as joined; it is not taken for pressed."""
    before = frozenset({"1", "2"})
    assert keys_down(scan_of({(0, 0), (0, 1), (1, 0)}), LAYOUT, before) == before


@given(st.lists(st.sampled_from(PLACES), max_size=14))
def test_ghosts_never_press_and_held_keys_never_drop(toggles: list[tuple[int, int]]) -> None:
    """Keys pressed and released one at a time, in any order: what is reported is really down; a held one stays."""
    pressed: set[tuple[int, int]] = set()
    known: frozenset[str] = frozenset()
    for place in toggles:
        pressed ^= {place}
        before, known = known, keys_down(scan_of(pressed), LAYOUT, known)
        truth = {NAME[p] for p in pressed}
        assert known - truth <= before - truth  # a release may be hidden for a while, a press is never invented
        assert before & truth <= known
    assert keys_down(scan_of(set()), LAYOUT, known) == frozenset()


def test_places_without_a_key_are_silent() -> None:
    """A crossing of no key never reads as one."""
    assert keys_down([[True, False], [False, False]], (("", "2"), ("4", "5"))) == frozenset()


def test_doubtful_names_the_rectangle() -> None:
    """The four corners, and only they, are in doubt."""
    assert doubtful([[True, True, False], [True, True, True]]) == {(0, 0), (0, 1), (1, 0), (1, 1)}
