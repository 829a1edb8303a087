"""A look in a soak: how many presses it takes, and what it tells."""

from appliance.activities.soak_look import ITEMS, Look
from appliance.activities.soaking import State
from appliance.lettering.captions import fits
from appliance.patterns.catalogue import catalogue
from appliance.video.formats import FORMATS
from tests.activities.soaked import HATCH, PAN, WHITE, Bench, a_soak


def offered(minutes: tuple[int, ...] = (2,)) -> Bench:
    """A soak of a pan, its first look just offered."""
    bench = Bench(a_soak(PAN, HATCH, looks=minutes)).started()
    bench.wait_for(State.OFFERED)
    return bench


def test_all_as_before_takes_one_press_a_thing() -> None:
    """Go to begin, and go once for each: twelve presses, and the soak goes on where it was."""
    bench, presses = offered(), 0
    assert bench.soaking.elapsed(bench.now) == 110
    assert bench.picture == ("pan", "slow")
    while not bench.at(State.RUNNING):
        bench.key("go")
        presses += 1
    assert presses == 1 + len(ITEMS) == 12
    assert bench.soaking.elapsed(bench.now) == 110
    assert bench.told("look")[-1] == "2 min: 11 of 11 looked at, 4 different"


def test_margins_by_the_scales_and_a_difference_told() -> None:
    """A margin two percent larger is two presses and go; the next look starts from it, and tells what changed."""
    bench = offered((2, 4))
    bench.key("go")
    assert bench.picture == ("scales", "left")
    for _ in range(2):
        bench.key("forward")
    while bench.at(State.LOOKING):
        bench.key("go")
    assert "2 min: left margin 7 %, first reading" in bench.told("look")
    bench.wait_for(State.OFFERED)
    bench.log.clear()
    bench.key("go")
    assert "Left margin: 7 %" in bench.words
    bench.key("back")
    while bench.at(State.LOOKING):
        if bench.soaking._looking().item.key == "tint":
            bench.key("forward")
        bench.key("go")
    assert bench.told("look") == [
        "4 min: left margin 7 → 6 %", "4 min: tint redder", "4 min: 11 of 11 looked at, 2 different",
    ]  # fmt: skip


def test_what_was_not_seen_is_told_as_such() -> None:
    """Vary leaves a thing out; note leaves the rest; silence is never told as sameness."""
    bench = offered()
    bench.key("go")
    bench.key("vary")
    bench.key("go")
    bench.key("note")
    assert bench.at(State.RUNNING)
    last = bench.told("look")[-1]
    assert last.startswith("2 min: 1 of 11 looked at")
    assert "not seen: left margin, top margin" in last


def test_a_look_nobody_takes() -> None:
    """After a quarter of a minute the soak goes on; the lamp calls until vary takes the look late."""
    bench = offered()
    bench.wait(16)
    assert bench.at(State.RUNNING)
    assert bench.told("look") == ["2 min: offered, not taken"]
    assert bench.soaking.showing().signals.attention.times == (0.5, 0.5)
    bench.wait(45)
    bench.key("vary")
    bench.key("note")
    assert bench.told("look")[-1].startswith("2 min: 0 of 11 looked at")
    assert bench.soaking.showing().signals.attention.times == ()


def test_a_look_left_alone_ends() -> None:
    """Nobody presses for long: what was seen is told, and the soak goes on."""
    bench = offered()
    bench.key("go")
    bench.key("go")
    bench.wait(46)
    assert bench.at(State.RUNNING)
    assert bench.told("look")[-1].startswith("2 min: 1 of 11")


def test_a_bright_still_of_a_look_stands_less_than_a_minute() -> None:
    """However often an answer is changed, full level goes after three quarters of a minute."""
    bench = offered()
    bench.key("go")
    while not bench.soaking._looking().item.bright:
        bench.key("go")
    since = bench.now
    while bench.picture == ("crosshatch", "inverse"):
        bench.wait(5)
        bench.key("forward")
        assert bench.now - since < 60


def test_a_look_is_not_offered_in_a_bright_phase_but_after_it() -> None:
    """Keys have no other meaning there than black."""
    bench = Bench(a_soak(PAN, WHITE, PAN, looks=(6,))).started()
    for _ in bench.steps(400):
        if bench.at(State.OFFERED):
            break
    assert bench.soaking.elapsed(bench.now) >= 359.9
    assert bench.picture == ("pan", "slow")


def test_the_last_look_comes_before_the_end() -> None:
    """A look at the soak's last minute falls into its last picture."""
    bench = Bench(a_soak(PAN, HATCH, looks=(7,))).started()
    bench.wait_for(State.OFFERED)
    assert bench.picture == ("crosshatch", "white")


def test_looks_skipped_over_are_told() -> None:
    """Of several minutes skipped over the last is offered; none is lost without a word."""
    bench = Bench(a_soak(PAN, HATCH, looks=(2, 4, 6))).started()
    bench.key("forward")
    bench.wait_for(State.OFFERED)
    bench.wait_for(State.DONE)
    said = bench.told("look")
    assert [words.split(" min")[0] for words in said] == ["2", "4", "6"]


def test_every_item_is_drawn_and_lettered() -> None:
    """Pictures are in the catalogue; each answer fits; words stay off the scale that is read under them."""
    for number, item in enumerate(ITEMS):
        assert item.variant in catalogue()[item.pattern].variants
        look = Look(2, {}, number)
        for _ in range(25):
            assert all(fits(look.caption.lines, fmt) for fmt in FORMATS.values())
            look.step(1)
        assert bool(item.answers) or look.value == 20
    high = {item.key: item.high for item in ITEMS}
    assert high["bottom margin"]
    assert not high["top margin"]
