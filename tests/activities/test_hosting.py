"""What the box does for any activity that has it to itself, with an invented one; and its own words over pictures."""

import pytest

from appliance.activities.box import Box, State
from appliance.activities.hosted import Activity, Left
from appliance.activities.kept import Kept, SoakEnded
from appliance.activities.notices import TIME, Notices
from appliance.activities.showing import Caption, Showing
from appliance.presses.press import Kind, Press
from appliance.video.formats import Format
from tests.activities.invented import a_box, short, touch

PAIR = Press(Kind.PAIR, "go+note", 5.0)


class Counting:
    """Counts ``forward``; ``go`` ends it at a red field, where the key that ended it does what it does in stepping."""

    name = "counting"
    urgent = loaded = holds_format = any_format = False
    speaks = True

    def __init__(self, now: float) -> None:
        self.over, self.count, self.begun, self.told = False, 0, now, list[str]()
        self.kept: list[Kept] = []

    def press(self, press: Press) -> bool:
        """Only two keys mean anything."""
        self.count += press.key == "forward"
        self.over = press.key == "go" and press.kind is Kind.SHORT
        return press.key in ("forward", "go")

    def tick(self, now: float) -> None:
        """It is over after a minute."""
        self.over |= now >= self.begun + 60

    def due(self) -> float:
        """Then."""
        return self.begun + 60

    def showing(self) -> Showing:
        """The count over green, which moves."""
        return Showing("green", "100", True, Caption((str(self.count),)))

    def shown(self, pattern: str, stamp: float) -> None:
        """Told."""
        self.told.append(f"shown {pattern} {stamp}")
        self.kept.append(f"{pattern} is up")

    def screen_lost(self, now: float) -> None:
        """Told."""
        self.told.append(f"lost {now}")

    def too_hot(self, now: float) -> None:
        """Told."""
        self.told.append(f"hot {now}")

    def warn(self, words: str, now: float) -> None:
        """Told."""
        self.told.append(f"{words} {now}")

    def change_format(self, fmt: Format, now: float) -> None:
        """Told."""
        self.told.append(f"{fmt.name} {now}")

    def answer(self, record: object, answer: object, now: float) -> bool:  # noqa: ARG002 - as hosted
        """Told."""
        self.told.append(f"answer {answer} {now}")
        return True

    def abandon(self, why: str, now: float) -> None:
        """Told, and kept."""
        self.kept.append(SoakEnded(now, why))

    def suspend(self, now: float) -> None:
        """Told."""
        self.told.append(f"suspended {now}")

    def drain(self) -> list[Kept]:
        """Once."""
        kept, self.kept = self.kept, []
        return kept

    def left(self) -> Left:
        """At red."""
        return Left(("red", "100"), caption=False, passes=True)


def hosting() -> tuple[Box, Counting]:
    """A box that hosts it, chosen by keys: another activity is one entry of the list."""
    box, made = a_box("grid"), list[Counting]()

    def begin(fmt: object, now: float) -> Counting:
        made.append(Counting(now))
        return made[-1]

    box.activities.append(Activity("Counting", begin))
    box.press(Press(Kind.HELD, "go", 1.0))
    box.press(short("back", 1.5))
    assert box.showing().caption == Caption(("Choose: Counting", "forward, back · go takes it"))
    box.press(short("go", 2.0))
    return box, made[0]


def test_an_activity_may_go_on_in_another_format() -> None:
    """Offered over it; kept by go, taken back by another key or by time; it hears of each format on the lead."""
    box, counting = hosting()
    pair = Press(Kind.PAIR, "go+vary", 3.0)
    counting.any_format = True
    for answer, ends_in in (("go", "480i"), ("note", "480i"), ("vary", "480i")):
        box.press(pair)
        assert box.state is State.BENEATH
        box.press(Press(Kind.HELD if answer == "vary" else Kind.SHORT, answer, 4.0))
        assert (box.state, box.choice.format) == (State.HOSTING, ends_in)
    assert [told.split()[0] for told in counting.told] == ["480i", "288p", "480i", "288p", "480i"]
    box.press(pair)
    box.tick(13.0)
    assert (box.state, box.choice.format) == (State.HOSTING, "480i")
    box.press(pair)
    box.refused(13.5)
    assert (box.state, box.choice.format, box.showing().caption) == (
        State.HOSTING, "480i", Caption(("288p PAL: refused", "by the card"), True),
    )  # fmt: skip
    counting.holds_format = True
    box.press(pair)
    assert box.state is State.HOSTING


def test_a_wide_title_stands_alone_in_the_list() -> None:
    """Twenty capitals fit a line, though not behind another word."""
    box, title = a_box("grid"), "M" * 20
    box.activities.append(Activity(title, lambda fmt, now: Counting(now)))  # noqa: ARG005 - as it begins
    box.press(Press(Kind.HELD, "go", 1.0))
    box.press(short("back", 1.5))
    assert box.showing().caption == Caption((title, "forward, back · go takes it"))


def test_an_answer_reaches_the_one_that_waits() -> None:
    """While it is on; nobody hears it afterwards."""
    box, counting = hosting()
    record = SoakEnded(1.0, "any")
    assert box.host.answer(record, 7, 3.0)
    assert counting.told == ["answer 7 3.0"]
    box.show("white", "25", 5.0)
    assert not box.host.answer(record, 7, 6.0)


def test_an_invented_activity_has_the_keys_and_the_screen() -> None:
    """Presses, time, flips and troubles reach it; what it shows is shown; what it hands out is collected."""
    box, counting = hosting()
    box.tick(2.5)
    box.tick(10.0)
    assert (box.activity, box.due()) == ("counting", 62.0)
    box.press(short("forward", 3.0))
    box.shown("green", 3.1)
    box.screen_lost(3.2)
    box.host.too_hot(3.3)
    assert (counting.count, counting.told) == (1, ["shown green 3.1", "lost 3.2", "hot 3.3"])
    assert (box.showing().pattern, box.log) == ("green", ["green is up"])


@pytest.mark.parametrize("by_key", [True, False])
def test_it_ends_where_it_says(by_key: bool) -> None:
    """By a key, which then means what it does there, or by time."""
    box, _ = hosting()
    if by_key:
        box.press(short("go", 4.0))
    else:
        box.tick(62.0)
    assert (box.state, box.showing().pattern, box.showing().caption) == (State.STEPPING, "red", None)


def test_a_touch_that_it_takes_spends_the_keys() -> None:
    """And one that it does not take, does not."""
    box, _ = hosting()
    assert box.press(touch("forward", 3.0))
    assert not box.press(touch("note", 3.1))


@pytest.mark.parametrize("how", ["keys", "script"])
def test_left_from_outside_it_hears_why(how: str) -> None:
    """Shutting down, or a picture that a script asks for: its last words are kept."""
    box, _ = hosting()
    if how == "keys":
        box.press(PAIR)
    else:
        box.show("white", "25", 5.0)
    (record,) = box.drain()
    assert isinstance(record, SoakEnded)
    assert box.drain() == []
    assert box.host.guest is None
    assert box.showing().pattern == ("black" if how == "keys" else "white")


def test_a_notice_stands_over_it_while_nothing_moves_and_is_logged_by_it() -> None:
    """Once, for its time; then the activity's own words are back, and its movement."""
    box, counting = hosting()
    box.tick(10.0)
    box.tell(("Something", "is wrong"), 10.0)
    assert box.showing().caption == Caption(("Something", "is wrong"), True)
    assert not box.showing().moving
    assert counting.told == ["Something is wrong 10.0"]
    assert box.due() == 10.0 + TIME
    box.tick(10.0 + TIME)
    assert box.showing().caption == Caption(("0",))
    assert box.showing().moving


def test_a_notice_waits_for_a_test_under_way() -> None:
    """Nothing is laid over a caution, or full white; it comes in stepping afterwards."""
    box = a_box("white", "100")
    box.press(short("go", 1.0))
    box.tell(("Something", "is wrong"), 2.0)
    assert "go starts" in (box.showing().caption or Caption(())).text
    box.press(short("note", 3.0))
    box.tick(3.0)
    assert box.showing().caption == Caption(("Something", "is wrong"), True)


def test_a_notice_does_not_stop_a_movement_that_somebody_started() -> None:
    """It waits until the picture stands."""
    box = a_box("blink")
    box.press(short("go", 1.0))
    box.tell(("Something", "is wrong"), 2.0)
    assert box.showing().moving
    box.press(touch("note", 3.0))
    box.tick(4.0)
    box.press(touch("note", 5.0))
    box.tick(5.0)
    assert box.showing().caption == Caption(("Something", "is wrong"), True)


def test_notices_come_one_after_the_other_and_change_their_place() -> None:
    """The same thing is not said twice at a time."""
    notices = Notices()
    for lines in (("a", ""), ("b", ""), ("a", ""), ("b", "")):
        notices.tell(lines)
        notices.tick(0.0, may=True)
    first = notices.caption
    notices.tick(TIME, may=True)
    second = notices.caption
    notices.tick(2 * TIME, may=True)
    assert (first, second, notices.caption) == (Caption(("a", ""), True), Caption(("b", ""), False), None)
    assert notices.due() is None
