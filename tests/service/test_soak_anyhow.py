"""A soak under whatever keys, cuts, lost screens, bad disks and heat there are: the box goes on, its log is sound."""

import os
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from appliance.activities.hosted_soak import HostedSoak, begun
from appliance.activities.soak_words import complete, left_out
from appliance.activities.soaking import State
from appliance.hardware.health import Health
from appliance.patterns.catalogue import catalogue
from appliance.patterns.registry import SPARED
from appliance.presses.edges import SINGLE_KEYS
from appliance.soaks import find_soak
from tests.service.befalling import BEFALLING, Befallen
from tests.service.soaked import Powered, kept

KEYS = [*SINGLE_KEYS, "5"]
HAPPENINGS = st.lists(
    st.one_of(
        st.tuples(st.sampled_from(KEYS), st.sampled_from([0.05, 1.2, 3.2, 40.0])),
        st.tuples(st.just("pair"), st.sampled_from([2.5, 3.5])),
        st.tuples(st.just("wait"), st.sampled_from([1.0, 61.0, 700.0])),
        st.tuples(st.sampled_from([*BEFALLING, "hot", "cool"]), st.just(0.0)),
    ),
    max_size=9,
)


EXAMPLES = int(os.environ.get("FIELDMOUSE_SOAK_EXAMPLES", "6"))


class Bench(Befallen[Powered]):
    """A box with a soak running, and what happens to it."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder, Powered)
        self.box.service.box.start(begun(find_soak("short"), 4), self.box.waiter.now)
        self.box.run(40)

    def happen(self, what: str, seconds: float) -> None:
        """One thing, and a while after it."""
        if not self.befall(what) and what != "wait":
            self._do(what, seconds)
        self.box.run(max(seconds, 3.0) + 1)

    def _do(self, what: str, seconds: float) -> None:
        if what in ("hot", "cool"):
            self.box.health = Health(None, 90.0 if what == "hot" else 50.0)
        for key in ("go", "note") if what == "pair" else (what,) if what in KEYS else ():
            self.box.keys.press(key, self.box.waiter.now + 0.01, seconds)

    def check(self) -> None:
        """A picture that there is, in words that fit in two lines."""
        showing = self.box.service.box.showing()
        assert showing.variant.removesuffix(SPARED) in catalogue()[showing.pattern].variants
        assert showing.caption is None or all(len(line) <= 28 for line in showing.caption.lines)
        assert self.box.screen.up is not None


@settings(max_examples=EXAMPLES, suppress_health_check=[HealthCheck.too_slow])
@given(HAPPENINGS)
def test_a_soak_under_anything(happenings: list[tuple[str, float]]) -> None:
    """No error, always a picture; the log can be read at the end, its times in order, and it bears out how it ended."""
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
            assert times == sorted(times)
        assert all(0 <= event.elapsed <= 1800 for event in record.events)
        skipped = sum(left_out(event.words) for event in record.events if event.kind == "skipped")
        assert record.how == complete(skipped) or not record.how.startswith("complete")
