"""A viewing under whatever keys, cuts, lost screens and bad disks there are: nothing told as kept is ever lost."""

import os
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from appliance.activities.hosted_viewing import HostedViewing
from appliance.activities.viewing_record import Noted
from appliance.activities.viewing_words import kept_words
from appliance.records.store import Store
from tests.service.befalling import BEFALLING, Befallen
from tests.service.visited import Visited

EXAMPLES = int(os.environ.get("FIELDMOUSE_VIEWING_EXAMPLES", "6"))

KEYS = ["go", "go", "go", "note", "note", "forward", "back", "vary", "5"]
HAPPENINGS = st.lists(
    st.one_of(
        st.tuples(st.sampled_from(KEYS), st.sampled_from([0.05, 0.05, 0.05, 1.2])),
        st.tuples(st.just("go note go"), st.just(0.05)),
        st.tuples(st.just("pair"), st.just(2.5)),
        st.tuples(st.just("wait"), st.sampled_from([1.0, 12.0, 61.0])),
        st.tuples(st.sampled_from(BEFALLING), st.just(0.0)),
    ),
    max_size=14,
)


class Bench(Befallen[Visited]):
    """A box with a glance under way, what happens to it, and what it has told as kept."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder, Visited)
        self.box.service.box.start(self.box.service.viewing("glance"), self.box.waiter.now)
        self.box.run(1)

    def happen(self, what: str, seconds: float) -> None:
        """One thing, and a while after it."""
        box = self.box
        if self.befall(what):
            pass
        elif what == "pair":
            box.hold_both("go", "vary", seconds)
        elif what == "wait":
            box.run(seconds)
        else:
            for key in what.split():
                box.press(key, seconds)
                self.check()
        self.box.run(1)

    def check(self) -> None:
        """Words that fit in two lines; a note told as kept is on the card, and counts."""
        showing = self.box.service.box.showing()
        assert showing.caption is None or all(len(line) <= 28 for line in showing.caption.lines)
        if "\nkept: " in self.box.words:
            assert self.box.words in self.noted()

    def noted(self) -> list[str]:
        """What is on the card, as it is told."""
        store = Store(self.folder, boot_id="reader", wall=lambda: (0.0, False))
        store.open_to_read()
        try:
            notes = [note for record in store.visits.last() for note in record.noted]
        finally:
            store.close()
        told = [Noted(0, 0, "", "", note.severity, note.zone, note.title) for note in notes]
        return ["\n".join(kept_words(note, note.title)) for note in told]


@settings(max_examples=EXAMPLES, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(HAPPENINGS)
def test_a_viewing_under_anything(happenings: list[tuple[str, float]]) -> None:
    """No error; the disk well again, everything noted is on the card, each note once and in its order."""
    with TemporaryDirectory() as folder:
        bench = Bench(Path(folder))
        for what, seconds in happenings:
            bench.happen(what, seconds)
            bench.check()
        bench.disk.code = 0
        bench.box.run(130)
        guest = bench.box.service.box.host.guest
        if isinstance(guest, HostedViewing):
            outcome = guest.viewing.outcome
            assert guest.viewing._notebook.ledger.open == 0
            there = bench.noted()
            assert [("\n".join(kept_words(note, note.title))) for note in outcome.notes] == there[: len(outcome.notes)]
        bench.box.cut()
