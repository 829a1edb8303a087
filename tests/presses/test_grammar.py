"""The grammar of presses: short, held, repeated, paired, spent, stuck."""

from itertools import pairwise, product

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from appliance.presses.edges import DIGITS, KEYS, Edge
from appliance.presses.grammar import ANY, OWN, STUCK, Event, Grammar, Sort, State, transition
from appliance.presses.press import Kind, Press

TOUCH, SHORT, REPEAT, HELD, PAIR = Kind


def play(script: str, grammar: Grammar | None = None, until: float = 20.0) -> list[tuple[str, str, float]]:
    """Presses of a script ``+go 0  -go 0.2``: what, which key, when; ticks come exactly when asked for."""
    grammar = Grammar() if grammar is None else grammar
    presses: list[Press] = []
    words = script.split()
    for word, time in zip(words[::2], words[1::2], strict=True):
        presses += wait(grammar, float(time))
        presses += grammar.edge(Edge(word[1:], word[0] == "+", float(time)))
    return [(p.kind, p.key, round(p.at, 6)) for p in presses + wait(grammar, until)]


def wait(grammar: Grammar, until: float) -> list[Press]:
    """The presses that come by ``until``, each tick at its due time."""
    presses: list[Press] = []
    while (due := grammar.due()) is not None and due < until:
        presses += grammar.tick(due)
    return presses


def meant(script: str, grammar: Grammar | None = None, until: float = 20.0) -> list[tuple[str, str, float]]:
    """As :func:`play`, without the touches."""
    return [p for p in play(script, grammar, until) if p[0] != TOUCH]


@pytest.mark.parametrize("key", ["forward", "back", *DIGITS])
def test_steps_and_digits_speak_on_the_edge_down(key: str) -> None:
    """Forward, back and digits act at once, after the touch, and not again on release."""
    assert play(f"+{key} 1 -{key} 1.2") == [(TOUCH, key, 1.0), (SHORT, key, 1.0)]


@pytest.mark.parametrize("key", ["go", "vary", "note"])
def test_acts_speak_on_release(key: str) -> None:
    """Go, vary and note touch on the edge down and act on release."""
    assert play(f"+{key} 1 -{key} 1.2") == [(TOUCH, key, 1.0), (SHORT, key, 1.2)]


@pytest.mark.parametrize("key", ["go", "vary", "note"])
def test_held_a_second_excludes_short(key: str) -> None:
    """At one second the held meaning comes, and the release then says nothing."""
    assert meant(f"+{key} 1 -{key} 4") == [(HELD, key, 2.0)]


def test_release_just_before_a_second_is_short() -> None:
    """The boundary: 0.999 s is a short press."""
    assert meant("+go 1 -go 1.999") == [(SHORT, "go", 1.999)]


def test_held_is_not_lost_to_a_late_tick() -> None:
    """When the release is read before the tick that was due, the held meaning still comes, and no short one."""
    grammar = Grammar()
    grammar.edge(Edge("go", True, 1.0))
    assert [p.kind for p in grammar.edge(Edge("go", False, 2.5))] == [HELD]


@pytest.mark.parametrize("key", ["forward", "back"])
def test_steady_repeat_is_twice_a_second(key: str) -> None:
    """Held forward or back repeats after half a second and each half second, until released."""
    assert meant(f"+{key} 1 -{key} 2.8") == [
        (SHORT, key, 1.0),
        (REPEAT, key, 1.5),
        (REPEAT, key, 2.0),
        (REPEAT, key, 2.5),
    ]


def test_growing_repeat_quickens() -> None:
    """Where marks move, repeats come quicker the longer the key is held, and never slower again."""
    at = [time for kind, _, time in meant("+forward 0 -forward 6", Grammar("growing")) if kind == REPEAT]
    gaps = [round(b - a, 6) for a, b in pairwise(at)]
    assert at[0] == 0.5
    assert gaps == sorted(gaps, reverse=True)
    assert set(gaps) == {0.25, 0.125, 0.0625}


def test_late_tick_gives_one_repeat_and_keeps_the_distance() -> None:
    """After a stall repeats do not come in a burst: for the eyes' sake the next is half a second off again."""
    grammar = Grammar()
    grammar.edge(Edge("forward", True, 0.0))
    assert [p.at for p in grammar.tick(3.2)] == [3.2]
    assert grammar.due() == 3.7


def test_second_key_cancels_both() -> None:
    """Two keys down together have no single meaning, whatever is released first."""
    assert meant("+go 1 +vary 1.1 -go 1.2 -vary 1.3") == []
    assert meant("+note 1 +forward 1.1 -forward 1.2 -note 1.3") == []
    assert meant("+go 1 +5 1.1 -5 1.2 -go 1.3") == []


def test_second_key_stops_the_repeat() -> None:
    """Forward stops repeating when another key goes down, and does not take it up again."""
    assert meant("+forward 0 +back 0.7 -back 0.8 -forward 5") == [(SHORT, "forward", 0.0), (REPEAT, "forward", 0.5)]


@pytest.mark.parametrize(("other", "pair", "hold"), [("note", "go+note", 3.0), ("vary", "go+vary", 2.0)])
@pytest.mark.parametrize("first", [0, 1])
def test_pairs(other: str, pair: str, hold: float, first: int) -> None:
    """Two keys held together, in either order, mean their pair once, reckoned from the second one's edge."""
    one, two = ("go", other) if first == 0 else (other, "go")
    assert meant(f"+{one} 1 +{two} 1.4 -{one} 9 -{two} 9.1") == [(PAIR, pair, 1.4 + hold)]


def test_pair_let_go_too_soon_means_nothing() -> None:
    """A pair given up before its time leaves no press behind."""
    assert meant("+go 1 +note 1.1 -go 4.05 -note 8") == []


def test_third_key_breaks_a_pair() -> None:
    """A sleeve on the pad does not shut the box down."""
    assert meant("+go 1 +note 1.1 +vary 2 -vary 2.1 -go 9 -note 9") == []


def test_late_partner_still_makes_a_pair() -> None:
    """Go held past its second, then note: the held meaning came, the pair comes after its own three seconds."""
    assert meant("+go 0 +note 2 -go 6 -note 6") == [(HELD, "go", 1.0), (PAIR, "go+note", 5.0)]


def test_spent_press_says_nothing_more() -> None:
    """After a press that blanked the screen was spent, it has no short, held, repeated or paired meaning left."""
    for key in ("forward", "go"):
        grammar = Grammar()
        said = []
        for press in grammar.meanings(Edge(key, True, 1.0)):
            said.append(press.kind)
            grammar.spend()
        assert said == [TOUCH]
        assert wait(grammar, 20.0) == []
        assert grammar.edge(Edge(key, False, 20.0)) == []
        assert SHORT in [p.kind for p in (*grammar.edge(Edge(key, True, 21.0)), *grammar.edge(Edge(key, False, 21.1)))]


def test_second_finger_beside_a_spent_one_only_touches() -> None:
    """A hand that lands on two keys while full white is up blanks it, and does nothing else."""
    grammar = Grammar()
    grammar.edge(Edge("go", True, 1.0))
    grammar.spend()
    assert play("+note 1.05 -go 9 -note 9", grammar) == [(TOUCH, "note", 1.05)]


def test_stuck_key_falls_silent_and_gives_way() -> None:
    """A key down for half a minute stops repeating and no longer cancels the others; released, it works again."""
    grammar = Grammar()
    first = meant("+forward 0", grammar, until=100.0)
    assert first[-1][2] <= STUCK
    assert grammar.stuck() == ("forward",)
    assert grammar.due() is None
    assert meant("+go 100 -go 100.2", grammar, until=101.0) == [(SHORT, "go", 100.2)]
    assert meant("-forward 102 +forward 103 -forward 103.1", grammar, until=200.0) == [(SHORT, "forward", 103.0)]


def test_stuck_key_coming_free_does_not_disturb_another() -> None:
    """A stuck key that lets go while another is held takes nothing from that one's meaning."""
    grammar = Grammar()
    play("+forward 0", grammar, until=100.0)
    assert meant("+go 100 -forward 100.5 -go 103", grammar, until=200.0) == [(HELD, "go", 101.0)]


def test_pair_is_meant_once_until_both_are_released() -> None:
    """After a pair one of its keys let go and pressed again means nothing while the other is still down."""
    assert meant("+go 0 +vary 0.1 -vary 3 +vary 4 -vary 9 -go 10") == [(PAIR, "go+vary", 2.1)]


def test_held_tells_what_is_down() -> None:
    """Whether a key is down is told whatever it still means: fresh, spent or stuck."""
    grammar = Grammar()
    assert not grammar.held("vary")
    grammar.edge(Edge("vary", True, 0.0))
    grammar.spend()
    assert grammar.held("vary")
    grammar.tick(STUCK)
    assert grammar.held("vary")
    grammar.edge(Edge("vary", False, STUCK + 1))
    assert not grammar.held("vary")


def test_key_of_no_meaning_touches() -> None:
    """A key the grammar does not know still blanks a bright screen: it touches, and says nothing else."""
    assert play("+menu 0 -menu 5") == [(TOUCH, "menu", 0.0)]


def test_repeated_edges_of_one_level_change_nothing() -> None:
    """Two sources of one key, or a doubled edge, neither touch nor act twice."""
    assert play("+go 0 +go 0.1 -go 0.2 -go 0.3") == [(TOUCH, "go", 0.0), (SHORT, "go", 0.2)]


@pytest.mark.parametrize(("sort", "state"), list(product(Sort, State)))
def test_table_lets_every_key_up(sort: Sort, state: State) -> None:
    """From every state of every sort a release ends in UP."""
    assert transition(sort, state, Event.RELEASE)[0] is State.UP


@pytest.mark.parametrize(("sort", "event"), list(product(Sort, Event)))
def test_table_says_nothing_once_spent_or_stuck(sort: Sort, event: Event) -> None:
    """A spent or stuck key says nothing on any event."""
    assert transition(sort, State.SPENT, event)[1] is None
    assert transition(sort, State.STUCK, event)[1] is None


def test_tables_have_no_dead_rows() -> None:
    """Every row changes the state or says something, and no own row repeats the common one."""
    assert all(after != (state, None) for (state, _), after in ANY.items())
    assert all(after != ANY.get((state, event), (state, None)) for (_, state, event), after in OWN.items())


class Fingers(RuleBasedStateMachine):
    """Any fingers on any keys, at any time, with panic presses in between; the grammar watched from outside."""

    def __init__(self) -> None:
        super().__init__()
        self.grammar = Grammar()
        self.now = 0.0
        self.down: dict[str, float] = {}
        self.spent: set[str] = set()
        self.said: dict[str, list[str]] = {}
        self.steps: list[float] = []

    def hear(self, presses: list[Press]) -> None:
        """Check each press as it comes."""
        for press in presses:
            assert press.at <= self.now
            for key in press.key.split("+"):
                assert key in self.down
                said = self.said[key]
                assert press.kind == TOUCH or key not in self.spent
                assert {SHORT: HELD not in said and SHORT not in said, HELD: SHORT not in said}.get(press.kind, True)
                said.append(press.kind)
                if press.kind == REPEAT:
                    assert press.at - max([self.down[key], *self.steps]) >= 0.5 - 1e-9
                    self.steps = [press.at]

    def pass_time(self, seconds: float, served: bool) -> None:
        """Let time pass, served when due or not at all."""
        end = self.now + seconds
        while served and (due := self.grammar.due()) is not None and due <= end:
            assert due >= self.now - 1e-9
            self.now = max(self.now, due)
            self.hear(self.grammar.tick(due))
        self.now = end

    @precondition(lambda self: len(self.down) < len(KEYS))
    @rule(data=st.data(), seconds=st.floats(0.0, 1.5), served=st.booleans(), panic=st.booleans())
    def press(self, data: st.DataObject, seconds: float, served: bool, panic: bool) -> None:
        """A key goes down; perhaps its touch is a panic press."""
        self.pass_time(seconds, served)
        key = data.draw(st.sampled_from([k for k in KEYS if k not in self.down]))
        self.hear(self.grammar.tick(self.now))
        self.down[key], self.said[key] = self.now, []
        told = []
        for press in self.grammar.meanings(Edge(key, True, self.now)):
            self.hear([press])
            told.append(press.kind)
            if panic and press.kind == TOUCH:
                self.grammar.spend()
                self.spent = set(self.down)
        assert told[0] == TOUCH

    @precondition(lambda self: self.down)
    @rule(data=st.data(), seconds=st.floats(0.0, 1.5), served=st.booleans())
    def release(self, data: st.DataObject, seconds: float, served: bool) -> None:
        """A key goes up."""
        self.pass_time(seconds, served)
        key = data.draw(st.sampled_from(sorted(self.down)))
        self.hear(self.grammar.edge(Edge(key, False, self.now)))
        assert self.said[key].count(TOUCH) == 1
        self.spent.discard(key)
        del self.down[key]

    @rule(seconds=st.floats(0.0, 40.0), served=st.booleans())
    def idle(self, seconds: float, served: bool) -> None:
        """Time passes."""
        self.pass_time(seconds, served)
        self.hear(self.grammar.tick(self.now))

    @invariant()
    def tells_what_is_down(self) -> None:
        """What is held is known, and with every key up nothing is due."""
        assert {k for k in KEYS if self.grammar.held(k)} == set(self.down)
        assert self.down or self.grammar.due() is None

    def teardown(self) -> None:
        """Never stuck: with all keys up a lone press has its meaning again."""
        for key in list(self.down):
            self.hear(self.grammar.edge(Edge(key, False, self.now)))
            del self.down[key]
        assert self.grammar.due() is None
        assert [kind for kind, *_ in play(f"+go {self.now + 1} -go {self.now + 1.5}", self.grammar)] == [TOUCH, SHORT]


Fingers.TestCase.settings = settings(max_examples=60, stateful_step_count=30, deadline=None)

TestFingers = Fingers.TestCase
