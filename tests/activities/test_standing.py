"""A still picture that stands is shifted, each time at the moment that was foretold."""

from hypothesis import example, given
from hypothesis import strategies as st

from appliance.activities.dose import SHIFT_TIME, shift
from appliance.activities.standing import Standing


@example(97.21178133333333)
@given(st.integers(0, 10**9).map(lambda number: number / 1499.985))
def test_what_is_due_comes_and_is_over(begun: float) -> None:
    """At the moment that was due the picture is shifted, and the next one lies a whole shift's time ahead."""
    standing, now = Standing(), begun
    standing.cells("crosshatch", "it", now, moving=False)
    for count in range(1, 12):
        due = standing.due(now)
        assert due is not None
        assert SHIFT_TIME - 0.001 <= due - now <= SHIFT_TIME + 0.001
        now = due
        assert standing.cells("crosshatch", "it", now, moving=False) == shift(count * SHIFT_TIME)
