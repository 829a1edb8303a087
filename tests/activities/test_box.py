"""The box as a person uses it: stepping, the white stress, formats by keys, switching off."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appliance.activities.blink import DARK, count_blink
from appliance.activities.box import Box, Place, State
from appliance.activities.troubles import Trouble
from appliance.presses.press import Kind, Press
from appliance.settings.tree import Choice
from tests.activities.invented import CHOICES, RATE, a_box, short, touch


def seen(box: Box) -> tuple[str, str]:
    """Pattern and variant shown."""
    showing = box.showing()
    return showing.pattern, showing.variant


def words(box: Box) -> str:
    """The caption shown."""
    caption = box.showing().caption
    return caption.text if caption else ""


def running_stress(start: float = 2.0) -> Box:
    """A box whose white went up at ``start``."""
    box = armed_stress()
    box.shown("white", start)
    return box


def armed_stress() -> Box:
    """A box whose caution was read, and whose white is asked for."""
    box = a_box("white", "100")
    box.press(short("go", 1.0))
    box.shown("black", 1.0)
    box.tick(1.4)
    box.press(short("go", 1.5))
    return box


def test_a_whole_white_stress_counts_its_fields_and_goes_on_to_purity() -> None:
    """Caution, go, full white for the count, then red, green, blue by themselves, then stepping at blue."""
    box = a_box("white", "100")
    box.press(short("go"))
    assert seen(box) == ("black", "0")
    assert "go starts" in words(box)
    box.shown("black", 1.0)
    box.tick(1.4)
    box.press(short("go", 1.5))
    box.shown("white", 2.0)
    assert seen(box) == ("white", "100")
    box.tick(2.0 + float(601 / RATE) - 0.009)
    assert seen(box) == ("white", "100")
    box.tick(2.0 + float(601 / RATE) - 0.008)
    assert seen(box) == ("red", "100")
    box.shown("red", 2.0 + float(601 / RATE))
    assert box.log == ["white stress: 601 fields shown of 601 asked"]
    reds_end = box.due()
    assert reds_end is not None
    box.tick(reds_end)
    assert seen(box) == ("green", "100")
    box.tick(reds_end + 5)
    assert seen(box) == ("blue", "100")
    box.tick(reds_end + 10)
    assert (box.state, seen(box)) == (State.STEPPING, ("blue", "100"))


def test_the_count_is_told_as_seen_even_when_the_last_flip_is_late() -> None:
    """A red that went up two fields late is told as two fields more, not as the number asked for."""
    box = running_stress()
    box.tick(2.0 + float(601 / RATE))
    box.shown("red", 2.0 + float(603 / RATE))
    assert box.log == ["white stress: 603 fields shown of 601 asked"]


@pytest.mark.parametrize("key", ["forward", "back", "go", "vary", "note", "5"])
def test_any_key_in_full_white_is_black_at_once_and_stays(key: str) -> None:
    """The edge down alone makes black; time changes nothing; the next key leads back to a dim white."""
    box = running_stress()
    assert box.press(touch(key, 5.0)), "the keys that are down are to be spent"
    assert seen(box) == ("black", "0")
    assert box.press(touch("back", 5.1)), "a second finger of the same hand is no next key"
    assert seen(box) == ("black", "0")
    box.tick(5000.0)
    assert seen(box) == ("black", "0")
    assert box.due() is None
    assert box.press(touch(key, 5001.0))
    assert (box.state, seen(box)) == (State.STEPPING, ("white", "25"))


def test_a_key_before_white_is_up_is_a_panic_too() -> None:
    """Between the go and the first white field a key already means black."""
    box = armed_stress()
    box.press(touch("note"))
    box.shown("white", 3.0)
    assert seen(box) == ("black", "0")


def test_a_lost_screen_ends_the_stress_in_black() -> None:
    """White that nobody can count is not left standing."""
    box = running_stress()
    box.screen_lost(4.0)
    assert seen(box) == ("black", "0")


def test_the_countdown_and_the_lamp_hurry_at_the_end() -> None:
    """The seconds left count down; the running lamp blinks once a second, and four times in the last three."""
    box = running_stress()
    assert box.showing().count == "10"
    box.tick(8.5)
    assert box.showing().count == "4"
    assert box.showing().signals.running.times == (0.2, 0.8)
    box.tick(9.5)
    assert box.showing().count == "3"
    assert box.showing().signals.running.times == (0.125, 0.125)


def test_nothing_is_due_on_a_still_picture() -> None:
    """Once its caption is gone a still picture wants no tick at all."""
    box = a_box("grid")
    assert box.due() == 4.0
    box.tick(4.0)
    assert box.showing().caption is None
    assert box.due() is None


def test_a_bright_picture_dims_after_a_minute() -> None:
    """Full white outside a timed test is dimmed and says so."""
    box = a_box("white", "100")
    box.tick(60.0)
    assert seen(box) == ("white", "25")
    assert "spare the tube" in words(box)


def test_a_caution_is_read_before_go_starts_the_stress() -> None:
    """A key that bounces, or a caution that is not on the screen yet, starts nothing."""
    box = a_box("white", "100")
    box.press(short("go", 1.0))
    box.press(short("go", 1.01))
    box.shown("black", 1.1)
    box.press(short("go", 1.2))
    assert seen(box) == ("black", "0")
    box.tick(1.6)
    box.press(short("go", 1.7))
    assert seen(box) == ("white", "100")


@pytest.mark.parametrize("key", ["forward", "back", "go", "vary", "note", "7"])
def test_a_moving_picture_has_its_caution_first_and_every_key_stops_it(key: str) -> None:
    """Go shows the caution, go again starts; it bears no words while moving; the edge down of any key stops it."""
    box = a_box("run")
    assert "go starts" in words(box)
    box.press(short("go"))
    assert words(box) == "Moving stripes."
    assert not box.showing().moving
    box.press(short("go", 2.0))
    assert box.showing().moving
    assert words(box) == ""
    assert box.press(touch(key, 3.0)), "the key that stops it does nothing else"
    assert not box.showing().moving
    box.tick(1000.0)
    assert words(box) == ""
    box.press(short("go", 1001.0))
    assert box.showing().moving, "the caution is shown once in a power-up"


def test_a_flashing_picture_is_black_at_any_key_until_the_next() -> None:
    """As full white is: black at once, further fingers change nothing, the next key leads back, standing."""
    box = a_box("blink")
    box.press(short("go"))
    assert box.showing().moving
    assert box.press(touch("note", 3.0))
    assert seen(box) == ("black", "0")
    assert box.press(touch("go", 3.004))
    assert seen(box) == ("black", "0")
    box.tick(100.0)
    assert box.press(touch("go", 101.0))
    assert (seen(box), box.showing().moving) == (("blink", "plain"), False)


def test_stepping_goes_round_both_ways_and_by_families() -> None:
    """Forward and back undo each other; a held vary jumps to the next family."""
    box = a_box("grid")
    box.press(short("forward"))
    assert seen(box) == ("run", "across")
    box.press(short("forward"))
    box.press(short("forward"))
    assert seen(box) == ("white", "100")
    for _ in range(3):
        box.press(short("back"))
    assert seen(box) == ("grid", "plain")
    box.press(Press(Kind.HELD, "vary", 2.0))
    assert seen(box) == ("run", "across")


def test_a_new_format_comes_back_by_itself() -> None:
    """Offered for ten seconds, then the one kept before."""
    box = a_box("grid")
    box.press(Press(Kind.PAIR, "go+vary", 1.0))
    assert box.choice == Choice("480i", "NTSC")
    box.tick(10.9)
    assert box.choice == Choice("480i", "NTSC")
    box.tick(11.0)
    assert (box.choice, box.state) == (CHOICES[0], State.STEPPING)
    assert box.place().choice == CHOICES[0]


def test_a_new_format_is_kept_by_go() -> None:
    """Kept, it is what is remembered."""
    box = a_box("grid")
    box.press(Press(Kind.PAIR, "go+vary", 1.0))
    box.press(short("forward", 3.0))
    box.press(short("go", 4.0))
    box.tick(100.0)
    assert box.choice == box.place().choice == Choice("288p", "PAL")


def test_vary_at_power_up_steps_formats_and_keeps_where_let_go() -> None:
    """The running lamp counts the place in the list; letting go keeps it."""
    box = Box(tuple(a_box()._patterns.values()), CHOICES, a_box()._times, Place(CHOICES[0], "grid", ""), 0.0)
    box.begin(0.0)
    box.cue("vary at power-up", 0.0)
    box.shown("grid", 0.0)
    assert len(box.showing().signals.running.times) == 2
    box.tick(2.2)
    assert box.choice == CHOICES[1]
    box.shown("grid", 2.3)
    assert len(box.showing().signals.running.times) == 4
    box.vary_up(3.0)
    assert (box.state, box.place().choice) == (State.STEPPING, CHOICES[1])


def test_the_blind_count_begins_when_the_new_picture_is_up() -> None:
    """A slow board's lamp is dark until then, so that no flash is lost; each format is up for its whole count."""
    box = a_box("grid")
    box.cue("vary at power-up", 0.0)
    box.shown("grid", 0.5, CHOICES[0])
    box.tick(2.7)
    assert box.choice == CHOICES[1]
    box.shown("grid", 2.8, CHOICES[0])
    assert box.showing().signals.running == DARK, "the old picture's last flip begins no count"
    box.shown("grid", 4.5, CHOICES[1])
    assert box.showing().signals.running == count_blink(2, 4.5)
    box.shown("grid", 4.6, CHOICES[1])
    assert box.showing().signals.running.since == 4.5
    assert box.choice == CHOICES[1]
    box.tick(4.5 + sum(count_blink(2, 0).times) + 0.51)
    assert box.choice == CHOICES[2]


def test_the_blind_count_begins_without_a_picture_too() -> None:
    """No picture comes at all: the lamp counts after three seconds all the same; a very late one begins it anew."""
    box = a_box("grid")
    box.cue("vary at power-up", 0.0)
    box.tick(2.99)
    assert box.showing().signals.running == DARK
    box.tick(3.0)
    assert box.showing().signals.running == count_blink(1, 3.0)
    box.shown("grid", 4.0, CHOICES[0])
    assert box.showing().signals.running == count_blink(1, 4.0)
    box.tick(6.3)
    assert box.choice == CHOICES[1]


def test_a_jammed_vary_gives_up_after_two_rounds() -> None:
    """A key that never comes up leaves the box as it was."""
    box = a_box("grid")
    box.cue("vary at power-up", 0.0)
    box.tick(1000.0)
    assert (box.state, box.choice) == (State.STEPPING, CHOICES[0])


def test_go_and_note_shut_down_in_black() -> None:
    """Held together they end in black, and nothing leads out of it."""
    box = a_box("grid")
    box.press(Press(Kind.PAIR, "go+note", 1.0))
    assert (box.state, seen(box)) == (State.LEAVING, ("black", "0"))
    for press in (touch(), short("forward"), short("go")):
        box.press(press)
    assert box.state is State.LEAVING


def test_the_chooser_leads_to_the_stress_and_back() -> None:
    """A held go lists the activities; forward and go take one."""
    box = a_box("grid")
    box.press(Press(Kind.HELD, "go", 1.0))
    assert "Stepping" in words(box)
    box.press(short("forward", 2.0))
    assert "White stress" in words(box)
    box.press(short("go", 3.0))
    assert box.activity == "white stress"


def test_a_trouble_stands_on_the_attention_lamp_as_a_count() -> None:
    """The lowest number of several is blinked."""
    box = a_box("grid")
    box.troubles = {Trouble.KEYS, Trouble.NO_CONNECTOR}
    assert len(box.showing().signals.attention.times) == 2 * 2


def test_a_bright_picture_is_remembered_dimmed() -> None:
    """A start is dim, whatever was on the screen when the power went."""
    assert a_box("white", "100").place() == Place(CHOICES[0], "white", "25")


@given(st.lists(st.tuples(st.sampled_from(list(Kind)), st.sampled_from(
    ["forward", "back", "go", "vary", "note", "go+note", "go+vary", "3"]), st.floats(0, 30))))  # fmt: skip
def test_full_white_never_stands_longer_than_asked(events: list[tuple[Kind, str, float]]) -> None:
    """Whatever is pressed whenever, an armed or running stress always ends, and a tick is due while it runs."""
    box, now = a_box("white", "100"), 0.0
    for kind, key, gap in events:
        now += gap
        box.press(Press(kind, key, now))
        box.tick(now)
        box.shown(box.showing().pattern, now)
        if box.loaded:
            due = box.due()
            assert due is not None
            assert due <= now + 10.02
    if box.loaded:
        box.tick(now + 10.02)
        assert not box.loaded


def test_a_box_that_cannot_be_switched_off_says_so_and_goes_on() -> None:
    """Black for ever would look like a dead box."""
    box = a_box("grid")
    box.press(Press(Kind.PAIR, "go+note", 1.0))
    assert box.cue("no way off", 1.1)
    assert box.state is State.STEPPING
    assert "cannot switch itself off" in words(box)
