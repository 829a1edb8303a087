"""A row/column pad without diodes: which keys are down, from one scan of its columns row by row."""

from collections.abc import Sequence
from itertools import combinations

Scan = Sequence[Sequence[bool]]
"""For each row the levels of the columns while that row alone is driven; True: joined to the row."""


def doubtful(scan: Scan) -> frozenset[tuple[int, int]]:
    """The crossings that cannot be told: corners of a rectangle of four joined crossings.

    Three keys down at three of its corners join the fourth too, whether its key is down or not.
    """
    found: set[tuple[int, int]] = set()
    for (a, upper), (b, lower) in combinations(enumerate(scan), 2):
        shared = [column for column, (u, v) in enumerate(zip(upper, lower, strict=True)) if u and v]
        if len(shared) > 1:
            found |= {(row, column) for row in (a, b) for column in shared}
    return frozenset(found)


def keys_down(scan: Scan, layout: Sequence[Sequence[str]], before: frozenset[str] = frozenset()) -> frozenset[str]:
    """The keys of ``layout`` (rows of columns, ``""`` where there is none) that are down.

    A doubtful crossing counts as down only if its key was down ``before``: a ghost never presses, and a key that is
    held never lets go because of one.
    """
    doubt = doubtful(scan)
    joined = ((row, column) for row, levels in enumerate(scan) for column, level in enumerate(levels) if level)
    named = ((layout[row][column], (row, column)) for row, column in joined)
    return frozenset(key for key, place in named if key and (place not in doubt or key in before))
