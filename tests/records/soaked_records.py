"""Soaks driven by a person and kept in a real store, for tests of what is told of them."""

import json
from collections.abc import Iterable
from dataclasses import asdict
from pathlib import Path

from appliance.activities.soak_event import SoakEvent
from appliance.activities.soak_plan import Soak
from appliance.activities.soaking import Soaking, State
from appliance.presses.press import Kind
from appliance.records.entries import SoakRecord
from appliance.records.store import Store
from tests.activities.invented import RATE
from tests.activities.soaked import SOAK, Bench

BEGUN = 1_700_000_000.0
"""14 November 2023, 22:13:20 UTC."""


class Kept:
    """A store in ``folder`` and one soak in it; boots follow one another, each with its own clock."""

    def __init__(self, folder: Path, soak: Soak = SOAK, plan: str | None = None, wall: float | None = None) -> None:
        self.folder, self.soak = folder, soak
        self.clock(wall)
        self._store = self._opened("boot-0")
        text = json.dumps(asdict(soak)) if plan is None else plan
        self.number = self._store.begin_soak(soak.name, soak.title, text, 0.0)
        self.heat = 45.0

    def boot(self, name: str) -> None:
        """The power went and came back."""
        self._store.close()
        self._store = self._opened(name)

    def clock(self, wall: float | None) -> None:
        """The wall clock from now on; None: not set."""
        self._wall = (0.0, False) if wall is None else (wall, True)

    def add(self, events: Iterable[SoakEvent], wall_at_zero: float | None = None) -> None:
        """Keep events, signs of life with a temperature that rises and a voltage that is low at times."""
        for event in events:
            self.clock(None if wall_at_zero is None else wall_at_zero + event.at)
            if event.kind == "heartbeat":
                self.heat = min(self.heat + 0.4, 83.0)
                low = 1200 <= event.elapsed < 1500
                self._store.heartbeat(self.number, event.at, event.elapsed, event.phase, self.heat, low)
            else:
                self._store.add_event(self.number, event)

    def end(self, at: float, how: str) -> None:
        """The soak is over."""
        self._store.end_soak(self.number, at, how)

    def record(self) -> SoakRecord:
        """What was kept, as a command reads it."""
        found = self._store.soak(self.number)
        assert found is not None
        return found

    def close(self) -> None:
        """Let go of the store."""
        self._store.close()

    def _opened(self, boot: str) -> Store:
        store = Store(self.folder, boot_id=boot, wall=lambda: self._wall, mountinfo=lambda: "")
        store.open()
        return store


def until(bench: Bench, elapsed: float) -> None:
    """Let time go by until so much of the soak is done, every key that is missed pressed."""
    while bench.soaking.elapsed(bench.now) < elapsed:
        bench.wait(10)
        if bench.at(State.ABSENT):
            bench.key("back")
        if bench.at(State.WAITING):
            bench.key("go")


def look(bench: Bench, **answers: int) -> None:
    """A look, with so many steps from what is offered at each item; others are kept as offered."""
    bench.key("vary")
    while bench.at(State.LOOKING):
        item = bench.soaking._looking().item.key.replace(" ", "_")
        for _ in range(abs(answers.get(item, 0))):
            bench.key("forward" if answers[item] > 0 else "back")
        bench.key("go")


def note(bench: Bench, kind: int) -> None:
    """An observation, by its place in the list."""
    bench.key("note")
    for _ in range(kind):
        bench.key("forward")
    bench.key("go")


def eventful(folder: Path, soak: Soak, *, clock_set: bool = True) -> Kept:
    """A soak with looks, a pause, an absence, a smell, a power cut, and its end by a key."""
    kept, bench = Kept(folder, soak, wall=BEGUN if clock_set else None), Bench(soak).started()
    until(bench, 115)
    look(bench, left_margin=1, tint=1)
    until(bench, 640)
    bench.key("go")  # black, in the bright phase
    bench.wait(95)
    bench.key("go")
    bench.key("go")
    until(bench, 1000)
    bench.wait(1300)  # nobody there
    bench.key("go")
    note(bench, 3)
    until(bench, 1300)
    look(bench, left_margin=2, size_on_white=2, sound=1)
    bench.key("forward")  # skips
    until(bench, soak.total * 0.4)
    kept.add(bench.log, BEGUN if clock_set else None)
    cut_at, elapsed = bench.now, bench.soaking.elapsed(bench.now)
    kept.boot("boot-1")
    after = Bench(soak, 20.0, Soaking.resumed(soak, elapsed, RATE, 20.0))
    after.wait(240)
    after.key("go", Kind.HELD)
    after.wait_for(State.RUNNING)
    until(after, soak.total * 0.7)
    note(after, 6)
    after.wait(30)
    after.key("note", Kind.HELD)
    after.key("go")
    kept.add(after.log, BEGUN + cut_at + 900 if clock_set else None)
    kept.end(after.now, "by a key")
    return kept
