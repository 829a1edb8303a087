"""A soak under whatever keys, cuts, lost screens, bad disks and heat there are: the box goes on, its log is sound."""

import os
import sqlite3
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from appliance.activities.hosted_soak import HostedSoak, begun
from appliance.activities.soaking import State
from appliance.hardware.health import Health
from appliance.hardware.screens.base import ScreenTrouble
from appliance.hardware.screens.memory import MemoryScreen
from appliance.patterns.catalogue import catalogue
from appliance.patterns.registry import SPARED
from appliance.presses.edges import SINGLE_KEYS
from appliance.soaks import find_soak
from tests.service.soaked import Powered, kept
from tests.service.test_troubles import Disk

HAPPENINGS = st.lists(
    st.one_of(
        st.tuples(st.sampled_from([*SINGLE_KEYS, "5"]), st.sampled_from([0.05, 1.2, 3.2, 40.0])),
        st.tuples(st.just("pair"), st.sampled_from([2.5, 3.5])),
        st.tuples(st.just("wait"), st.sampled_from([1.0, 61.0, 700.0])),
        st.tuples(st.sampled_from(["cut", "kill", "screen", "full", "well", "hot", "cool"]), st.just(0.0)),
    ),
    max_size=9,
)


EXAMPLES = int(os.environ.get("FIELDMOUSE_SOAK_EXAMPLES", "6"))


class Bench:
    """A box with a soak running, and what happens to it."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.disk, self.boot = folder, Disk(), 0
        self.box = self._powered()
        self.box.service.box.start(begun(find_soak("short"), 4), self.box.waiter.now)
        self.box.run(40)

    def happen(self, what: str, seconds: float) -> None:
        """One thing, and a while after it."""
        box = self.box
        if what in ("cut", "kill"):
            box.cut()
            self.boot += what == "cut"
            self.box = self._powered()
        elif what == "screen":
            box.screen.trouble = ScreenTrouble("gone")
            box.run(0.5)
            box.screen = MemoryScreen(box.waiter.clock)
        elif what in ("full", "well"):
            self.disk.code = sqlite3.SQLITE_FULL if what == "full" else 0
        elif what in ("hot", "cool"):
            box.health = Health(None, 90.0 if what == "hot" else 50.0)
        elif what == "pair":
            for key in ("go", "note"):
                box.keys.press(key, box.waiter.now + 0.01, seconds)
        elif what != "wait":
            box.keys.press(what, box.waiter.now + 0.01, seconds)
        self.box.run(max(seconds, 3.0) + 1)

    def check(self) -> None:
        """A picture that there is, in words that fit in two lines."""
        showing = self.box.service.box.showing()
        assert showing.variant.removesuffix(SPARED) in catalogue()[showing.pattern].variants
        assert showing.caption is None or all(len(line) <= 28 for line in showing.caption.lines)
        assert self.box.screen.up is not None

    def _powered(self) -> Powered:
        return Powered(self.folder, f"boot {self.boot}", connect=self.disk, blinks=False).run(1)


@settings(max_examples=EXAMPLES, suppress_health_check=[HealthCheck.too_slow])
@given(HAPPENINGS)
def test_a_soak_under_anything(happenings: list[tuple[str, float]]) -> None:
    """No error, always a picture; the log can be read at the end, its times in order within a boot, its soak's too."""
    with TemporaryDirectory() as folder:
        bench = Bench(Path(folder))
        for what, seconds in happenings:
            bench.happen(what, seconds)
            bench.check()
        bench.disk.code = 0
        bench.box.run(100)
        guest = bench.box.service.box.host.guest
        running = isinstance(guest, HostedSoak) and guest.soaking.state is not State.DONE
        bench.box.cut()
        record = kept(Path(folder))
        assert running == (record.ended is None)
        for boot in {event.moment.boot for event in record.events}:
            times = [event.moment.at for event in record.events if event.moment.boot == boot]
            assert times == sorted(times) or any(what == "kill" for what, _ in happenings)
        assert all(0 <= event.elapsed <= 1800 for event in record.events)
