"""Every picture is as it was when it was last accepted, and the guard is as sharp as it says."""

from collections.abc import Callable

import numpy as np
import pytest

from appliance.drawing.colours import BLACK, WHITE, at_level
from appliance.drawing.frames import composed, flat, uprights
from appliance.patterns.picture import Frame
from appliance.video.formats import FORMATS
from tests.golden import Change, Shown, compare, entry_of, judge, read, shown
from tests.golden.looking import side_by_side
from tests.patterns.measure import drawn

FMT = FORMATS["480i"]


def test_no_picture_changed_unmeant() -> None:
    """Every pattern × variant × format but for rounding; python -m tests.golden shows what changed, and accepts it."""
    changes = [f"{one.name}: {verdict}" for one, verdict in compare(read(), shown()) if verdict != "rounding"]
    assert not changes, "look with python -m tests.golden, then python -m tests.golden --accept"


def line(place: float) -> Frame:
    """A white vertical on black."""
    return composed(FMT, [uprights(FMT, [place], (0.0, float(FMT.lines)), WHITE)], BLACK)


CHANGES: dict[str, Callable[[], tuple[Frame, Frame]]] = {
    "a vertical a twentieth of a sample further": lambda: (line(300.3), line(300.35)),
    "a grey a code lighter": lambda: (flat(FMT, at_level(WHITE, 0.5)), flat(FMT, at_level(WHITE, 0.504))),
    "the greys of a staircase": lambda: (drawn("staircase", "up", "480i"), drawn("staircase", "two-way", "480i")),
    "a tone within a colour": lambda: (flat(FMT, (0.75, 0.0, 0.0)), flat(FMT, (0.75, 0.0, 0.01))),
    "red and green a code lighter": lambda: (flat(FMT, (0.5, 0.5, 0.0)), flat(FMT, (0.504, 0.504, 0.0))),
    "a line a row lower": lambda: (drawn("frame", "90", "480i"), np.roll(drawn("frame", "90", "480i"), 1, axis=0)),
}


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_that_can_be_seen_is_told(name: str) -> None:
    """Small as it is, some sum moves by more than rounding can."""
    before, after = CHANGES[name]()
    assert judge({"x": entry_of(Shown("x", before))}, Shown("x", after)).startswith("changed")


TIES = {
    "down a column": (slice(None), slice(301, 302)),
    "along a row": (slice(217, 218), slice(None)),
    "here and there": (slice(0, None, 16), slice(100, 110)),
}


@pytest.mark.parametrize("place", TIES)
@pytest.mark.parametrize("name", FORMATS)
def test_rounding_is_let_through(name: str, place: str) -> None:
    """Greys that fell to the next code, as at a tie of a row or of a column that is drawn many times."""
    frame = drawn("ramp", "white", name)
    turned = frame.copy()
    turned[TIES[place]] ^= np.uint32(0x010101)
    assert judge({"x": entry_of(Shown("x", frame))}, Shown("x", turned)) == "rounding"


def test_what_is_new_or_gone_is_told() -> None:
    """So that nobody takes a pattern out unmeant either; and so is another pace."""
    frame = Shown("a", flat(FMT, WHITE))
    assert [verdict for _, verdict in compare({"b": "0"}, [frame])] == ["new", "gone"]
    assert judge({"a motion": "2 fields"}, Change("a motion", "3 fields")) == "changed: was 2 fields"


def test_before_after_and_difference_lie_side_by_side() -> None:
    """Three pictures of the tube's shape; the difference is black where nothing changed."""
    both = side_by_side(FMT, line(100), line(600))
    assert both.size == (3 * 648, 486)
    apart = np.asarray(both)[..., 1][:, 2 * 648 :]
    assert apart[240, 300] == 0
    assert (apart[240] == 255).sum() >= 4
