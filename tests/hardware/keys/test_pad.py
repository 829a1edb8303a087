"""The matrix pad beyond the contract: no polling, ghosts, shorts, late scans, a bad layout."""

from collections.abc import Iterator

import pytest

from appliance.errors import Refused
from appliance.hardware.gpiod_factory import GpiodFactory
from appliance.hardware.keys.pad import RESCAN, PadKeys
from appliance.hardware.keys.protocol import KeysTrouble
from appliance.presses.edges import Edge
from tests.hardware.fake_gpiod import FakeGpiod
from tests.hardware.keys.pads import COLUMNS, LAYOUT, PLACES, ROWS, PadChip


class Desk:
    """A pad, its chip and a clock."""

    def __init__(self) -> None:
        self.chip, self.now = PadChip(), 10.0
        self.factory = GpiodFactory("c", False, gpiod=FakeGpiod({"c": self.chip}))
        self.pad = PadKeys(ROWS, COLUMNS, LAYOUT, factory=self.factory, clock=lambda: self.now)

    def after(self, seconds: float) -> list[tuple[str, bool]]:
        """What one read tells, so much later."""
        self.now += seconds
        return [(edge.key, edge.down) for edge in self.pad.read(self.now)]


@pytest.fixture
def desk() -> Iterator[Desk]:
    """A pad that has looked once; no two rows may ever have been driven against each other."""
    made = Desk()
    assert made.after(0.0) == []
    yield made
    made.pad.close()
    made.factory.close()
    assert made.chip.shorts == 0


@pytest.mark.parametrize("key", PLACES)
def test_every_key(desk: Desk, key: str) -> None:
    """Each key is told by its own name."""
    desk.chip.move(key, True)
    assert desk.after(0.001) == [(key, True)]
    desk.chip.move(key, False)
    assert desk.after(RESCAN) == [(key, False)]


def test_idle_pad_makes_no_call(desk: Desk) -> None:
    """With nothing down reads make no system call on the lines: nothing is polled."""
    calls = desk.chip.calls
    assert desk.pad.due() is None
    for _ in range(50):
        assert desk.after(1.0) == []
    assert desk.chip.calls == calls


def test_second_key_of_a_column_is_found_by_rescan(desk: Desk) -> None:
    """It makes no edge, since the column is active already, but the scan while something is down finds it."""
    one, other = (key for key, (_, column) in PLACES.items() if column == COLUMNS[2] and key in ("vary", "note"))
    desk.chip.move(one, True)
    assert desk.after(0.0) == [(one, True)]
    desk.chip.move(other, True)
    assert desk.pad.due() == pytest.approx(desk.now + RESCAN)
    assert desk.after(0.0) == []
    assert desk.after(RESCAN) == [(other, True)]


def test_ghost_is_not_taken_for_a_press(desk: Desk) -> None:
    """With three corners of a rectangle down the third comes out only once it is beyond doubt; the fourth never."""
    for key in ("1", "2", "forward"):  # go is the fourth corner
        desk.chip.move(key, True)
    told = desk.after(0.0)
    desk.chip.move("2", False)
    told += desk.after(RESCAN)
    assert ("go", True) not in told
    assert sorted(told) == [("1", True), ("forward", True)]


def test_shorted_column_is_ignored_and_logged(desk: Desk, caplog: pytest.LogCaptureFixture) -> None:
    """A column that is low with no row driven is a fault: none of its keys is told, others work, no scan repeats."""
    desk.chip.drive(COLUMNS[0], 0)
    desk.after(0.0)
    assert "shorted" in caplog.text
    assert desk.pad.due() is None
    desk.chip.move("note", True)
    assert desk.after(0.1) == [("note", True)]


def test_late_scan_counts_as_of_when_it_was_due(desk: Desk) -> None:
    """While the loop was busy for two seconds a key came up unseen: the release is dated to the scan that was due."""
    desk.chip.move("go", True)
    desk.after(0.0)
    due = desk.pad.due()
    desk.chip.move("go", False)
    desk.now += 2.0
    assert due is not None
    assert desk.pad.read(desk.now) == [Edge("go", False, due)]


def test_press_between_scan_and_watching_is_not_lost(desk: Desk) -> None:
    """A key that goes down in the very moment scanning ends is found by looking once more."""
    desk.chip.move("go", True)
    desk.after(0.0)
    desk.chip.move("go", False)
    watch = desk.pad._watch

    def late(on: bool) -> None:
        if on:
            desk.chip.move("note", True)
        watch(on)

    desk.pad._watch = late  # type: ignore[method-assign]  # a finger between two lines of code
    assert desk.after(RESCAN) == [("go", False)]
    assert desk.pad.due() == desk.now
    assert desk.after(0.0) == [("note", True)]


def test_layout_that_does_not_fit_is_refused() -> None:
    """A layout of another shape than the pins names both."""
    with pytest.raises(Refused, match=r"rows of \[2, 3, 3\] keys, but there are 3 row and 3 column pins"):
        PadKeys(ROWS, COLUMNS, [["1", "2"], *LAYOUT[1:]])


def test_pin_that_cannot_be_had_is_named() -> None:
    """The trouble names the pin, and the pins already opened are given back."""
    chip = PadChip()
    factory = GpiodFactory("c", False, gpiod=FakeGpiod({"c": chip}))
    with pytest.raises(KeysTrouble, match="pad's GPIO99"):
        PadKeys(ROWS, (*COLUMNS[:2], 99), LAYOUT, factory=factory)
    assert chip.requests == {}
    factory.close()
