"""No sequence of presses flashes the screen."""

from hypothesis import given
from hypothesis import strategies as st

from appliance.activities.pace import Pacer

FLASHES_A_SECOND = 3
"""General flashes allowed in any second: WCAG 2.2 SC 2.3.1; ITU-R BT.1702-3 likewise."""


def test_the_first_picture_and_words_pass_at_once() -> None:
    """Nothing stood before the first, and the same picture with other words is none."""
    pacer = Pacer()
    assert pacer.ready("white", 5.0) <= 5.0
    pacer.passed("white", 5.0)
    assert pacer.ready("white", 5.01) <= 5.01


def test_an_urgent_black_is_never_held_back() -> None:
    """The way out is open at any time."""
    pacer = Pacer()
    pacer.passed("white", 5.0)
    assert pacer.ready("black", 5.001, urgent=True) == 5.001


@given(st.lists(st.tuples(st.sampled_from(["white", "dark", "red", "urgent"]), st.floats(0, 0.5)), max_size=80))
def test_hammering_makes_no_more_than_three_flashes_a_second(presses: list[tuple[str, float]]) -> None:
    """With every picture shown as soon as it may be, any second holds at most three pairs of opposing changes."""
    pacer, now, shown, up = Pacer(), 0.0, [0.0], ""
    for asked, gap in presses:
        # Only a bright test knows the urgent black.
        urgent = asked == "urgent" and up == "white"
        picture = "dark" if asked == "urgent" else asked
        now = max(now + gap, pacer.ready(picture, now + gap, urgent=urgent))
        if picture != up:
            shown.append(now)
        pacer.passed(picture, now, urgent=urgent)
        up = picture
    for n, first in enumerate(shown):
        within = [at for at in shown[n:] if at < first + 1.0 - 1e-9]
        assert len(within) <= 2 * FLASHES_A_SECOND + 1, "seven changes are three pairs and one"
