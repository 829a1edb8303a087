"""A viewing under any keys, times, failures of the store, lost screens and power cuts (hypothesis)."""

import copy
import os

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from appliance.activities.viewing import State, Viewing
from appliance.patterns.catalogue import catalogue
from appliance.patterns.registry import SPARED
from appliance.presses.press import Kind, Press
from tests.activities.viewed import FMT, GUIDE, Visit

PATTERNS = catalogue()
WAY_OUT = 60
"""Presses within which anybody who does what the words say is out: some pages and dangers may be in the way."""


class AnyVisit(RuleBasedStateMachine):
    """One visit, whatever happens to it."""

    def __init__(self) -> None:
        super().__init__()
        self.visit = Visit(viewing=Viewing(GUIDE, 12, FMT, 0.0, tally=lambda _: ("first", "second", "third")))

    # What can happen

    @rule(key=st.sampled_from(["forward", "back", "go", "go", "vary", "note", "0", "3"]))
    def short(self, key: str) -> None:
        """A key is pressed, and let go a moment later."""
        self.visit.key(key).wait(0.6)

    @rule(key=st.sampled_from(["go", "note", "vary"]))
    def held(self, key: str) -> None:
        """A key is held."""
        self.visit.key(key, Kind.HELD)

    @rule(key=st.sampled_from(["forward", "back"]))
    def repeat(self, key: str) -> None:
        """A key is still held."""
        self.visit.viewing.press(Press(Kind.REPEAT, key, self.visit.now))
        self.visit.look()

    @rule(seconds=st.sampled_from([0.1, 1.0, 5.0, 12.0, 70.0, 700.0]))
    def wait(self, seconds: float) -> None:
        """Time goes by."""
        self.visit.wait(seconds)

    @rule()
    def break_card(self) -> None:
        """The card takes nothing any more."""
        self.visit.card.broken = True

    @rule()
    def slow_card(self) -> None:
        """It takes its time over what comes now."""
        self.visit.slow = True

    @rule()
    def answer(self) -> None:
        """It has taken it, or not."""
        self.visit.slow = False
        self.visit.look()

    @rule()
    def mend_card(self) -> None:
        """It takes all again: what was noted is there, and nothing else is."""
        self.visit.card.broken = self.visit.slow = False
        self.visit.look()
        self.visit.wait(10.1)
        outcome, card = self.visit.viewing.outcome, self.visit.card
        assert set(card.notes.values()) == set(outcome.notes)
        assert {place for place, state in card.marks.items() if state == "looked"} == outcome.looked

    @rule()
    def lose_screen(self) -> None:
        """No picture is up any more."""
        self.visit.viewing.screen_lost(self.visit.now)
        self.visit.look()

    @precondition(lambda self: not self.visit.viewing.over)
    @rule()
    def cut_power(self) -> None:
        """Everything but the card is gone."""
        self.visit.restart()
        assert set(self.visit.viewing.outcome.notes) == set(self.visit.card.notes.values())

    @precondition(lambda self: self.visit.state not in (State.ENDING, State.CUT, State.SPARED, State.OVER))
    @rule()
    def forward_and_back(self) -> None:
        """One undoes the other, wherever forward did anything."""
        before = self.place()
        self.visit.key("forward")
        if self.place() != before and self.visit.state not in (State.BLACKING, State.BLACK):
            self.visit.key("back")
            assert self.place() == before

    def place(self) -> tuple[object, ...]:
        """What forward and back change: step, choice, zone, page."""
        viewing, state = self.visit.viewing, self.visit.state
        match state:
            case State.NOTING | State.ZONE:
                return (state, viewing._choice.kind, viewing._choice.zone)
            case State.DANGER:
                return (state, viewing._dangers.kind)
            case State.CODE:
                return (state, viewing.showing().code)
            case State.CARD:
                return (state, viewing.path)
            case State.END:
                return (state, viewing._page)
        return (viewing._place,)

    # What is always so

    @invariant()
    def what_was_told_as_kept_is_there(self) -> None:
        """On the card, unless it was taken back."""
        counting = {note.number for note in self.visit.viewing.outcome.notes}
        assert self.visit.told & counting <= set(self.visit.card.notes)

    @invariant()
    def what_is_shown_can_be_shown(self) -> None:
        """A picture of the catalogue, words that fit, no movement under words, no full level outside the load."""
        showing = self.visit.viewing.showing()
        assert showing.variant.removesuffix(SPARED) in PATTERNS[showing.pattern].variants
        lines = showing.caption.lines if showing.caption else ()
        assert len(lines) <= 2
        assert all(0 < len(line) <= 28 for line in lines)
        assert not (showing.moving and lines)
        assert (showing.pattern, showing.variant) != ("white", "100") or self.visit.viewing.loaded

    @invariant()
    def danger_is_one_press_away(self) -> None:
        """A held vary is black and noted, from every state but the last."""
        if self.visit.viewing.over:
            return
        twin = copy.deepcopy(self.visit.viewing, {id(GUIDE): GUIDE})
        assert not twin.press(Press(Kind.TOUCH, "vary", self.visit.now))
        twin.press(Press(Kind.HELD, "vary", self.visit.now + 1))
        assert twin.state is State.DANGER
        assert twin.urgent
        assert twin.showing().pattern == "black"
        assert twin._notebook.dangers

    def teardown(self) -> None:
        """It is never stuck: keys lead out of anything."""
        self.visit.card.broken = self.visit.slow = False
        for _ in range(WAY_OUT):
            if self.visit.viewing.over:
                return
            self.visit.wait(1)
            if self.visit.state in (State.DANGER, State.CUT, State.CODE, State.SPARED):
                self.visit.key("note")
            elif self.visit.state in (State.ENDING, State.END, State.ZONE):
                self.visit.key("go")
            else:
                self.visit.key("go", Kind.HELD)
        raise AssertionError(f"still in {self.visit.state}")


TestAnyVisit = AnyVisit.TestCase
TestAnyVisit.settings = settings(
    max_examples=int(os.environ.get("FIELDMOUSE_VISITS", "25")), stateful_step_count=40, deadline=None
)
