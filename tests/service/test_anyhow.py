"""Whatever is pressed, and whatever the screen does meanwhile: the loop neither ends, nor stands, nor spins."""

from collections.abc import Iterable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from appliance.hardware.keys.memory import MemoryKeys
from appliance.hardware.lamps.memory import MemoryLamps
from appliance.hardware.screens.base import NoConnector, ScreenTrouble
from appliance.hardware.screens.memory import MemoryScreen
from appliance.hardware.sound.memory import MemorySound
from appliance.patterns.catalogue import catalogue
from appliance.presses.edges import KEYS
from appliance.service.assemble import Hardware, Memory, assemble
from appliance.service.service import Service
from appliance.service.waiter import SimulatedWaiter
from appliance.settings import load

RATE = 60.1
"""No format of ours has more fields a second."""

PRESSES = st.lists(
    st.tuples(
        st.sampled_from([0.0, 0.005, 0.05, 0.3, 0.9, 2.0, 7.0, 15.0]),
        st.sampled_from([*KEYS[:5] * 4, *KEYS]),
        st.sampled_from([0.001, 0.1, 1.2, 2.2, 3.2, 40.0]),
    ),
    max_size=14,
)


class CountingWaiter(SimulatedWaiter):
    """Counts the passes."""

    passes = 0

    def wait(self, files: Iterable[int], until: float | None) -> bool:
        """As the waiter's."""
        self.passes += 1
        return super().wait(files, until)


class Rough:
    """A box in simulated time whose screen loses some flips, is late with others, and goes away now and then."""

    def __init__(self, keys: MemoryKeys, late: set[int], lost: set[int], goes: list[int]) -> None:
        self.waiter, self._late, self._lost, self._goes = CountingWaiter(), late, lost, goes
        hardware = Hardware(self._open, (("keys", lambda: keys),), MemoryLamps, MemorySound)
        self.service: Service = assemble(load(), hardware, Memory(None, ""), self.waiter)

    def _open(self) -> MemoryScreen:
        if self._goes and not self._goes[0] % 3:
            self._goes.pop(0)
            raise NoConnector("no composite connector")
        screen = MemoryScreen(self.waiter.clock, late=self._late, lost=self._lost)
        left = self._goes.pop(0) if self._goes else 0

        def count(*_: object) -> None:
            nonlocal left
            left -= 1
            if left == 0:
                screen.trouble = ScreenTrouble("the card went away")

        screen._on_flip = count
        self.screen = screen
        return screen


def pressed(presses: list[tuple[float, str, float]]) -> tuple[MemoryKeys, float]:
    """Keys that go down one after the other, and when the last is up; one key's presses never overlap."""
    keys, now, free = MemoryKeys(), 1.0, dict[str, float]()
    for gap, key, held in presses:
        now = max(now + gap, free.get(key, 0.0))
        keys.press(key, now, held)
        free[key] = now + held + 0.001
    return keys, max([now, *free.values()])


@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(
    presses=PRESSES,
    start=st.sampled_from(list(catalogue())),
    late=st.sets(st.integers(0, 300), max_size=20),
    lost=st.sets(st.integers(0, 300), max_size=4),
    goes=st.lists(st.integers(1, 400), max_size=4),
)
def test_the_loop_goes_on(
    presses: list[tuple[float, str, float]], start: str, late: set[int], lost: set[int], goes: list[int]
) -> None:
    """No error, no time that stands still, no pass without a reason; black at the end if a picture was up."""
    keys, end = pressed(presses)
    rough = Rough(keys, late, lost, goes)
    rough.service.box.show(start, "", 0.0)
    rough.service.run(end + 20)
    assert rough.waiter.passes <= 400 + 3 * RATE * (end + 20)


@pytest.mark.parametrize("pattern", ["moving-crosshatch", "white"])
@pytest.mark.parametrize("at", [0.05, 0.4, 0.9])
def test_quick_hands_do_not_make_the_loop_spin(pattern: str, at: float) -> None:
    """``go`` less than a second after a picture came: what waits to be kept then is due no more while it runs."""
    keys, _ = pressed([])
    keys.press("go", at, 0.05)
    keys.press("go", at + 0.2, 0.05)
    if pattern == "moving-crosshatch":
        keys.press("go", at + 0.4, 0.05)
    rough = Rough(keys, set(), set(), [])
    rough.service.box.show(pattern, "", 0.0)
    rough.service.run(8)
    assert rough.waiter.passes < 2.2 * 8 * RATE
