"""What a soak's sheet says: worked through by hand for small records, and for soaks driven by a person."""

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, timedelta, timezone
from pathlib import Path

import pytest

from appliance.activities.soaking import Soaking, State
from appliance.presses.press import Kind as PressKind
from appliance.records.entries import Beat, EventRecord, Moment, SoakRecord
from appliance.records.report import as_json
from appliance.records.report_drawing import GAP, LEFT, RIGHT, health_curve, timeline
from appliance.records.report_facts import Line, Sheet, read_story, sheet
from appliance.records.report_looks import Margin
from appliance.records.report_plan import read_plan
from appliance.records.report_spans import Kind
from appliance.records.report_time import NOT_SET, Course
from appliance.soaks import find_soak
from tests.activities.invented import RATE
from tests.activities.soaked import SOAK, Bench
from tests.records.soaked_records import BEGUN, Kept, eventful

PLAN = json.dumps({"phases": [
    {"pattern": "pan", "variant": "slow", "seconds": 600, "words": "pan, slow"},
    {"pattern": "white", "variant": "75", "seconds": 60, "words": "white, 75", "bright": True},
    {"pattern": "black", "variant": "0", "seconds": 600, "rest": True, "words": "rest, set off"},
    {"pattern": "pan", "variant": "slow", "seconds": 540, "words": "pan, slow"},
], "looks": [2, 15]})  # fmt: skip
"""Half an hour: 1800 s."""

Word = tuple[str, float, float, int, str]


def at(seconds: float, boot: str = "a", wall: float | None = BEGUN) -> Moment:
    """A moment of a boot whose clock, where it was set, read ``wall`` at its start."""
    return Moment(boot, seconds, 0.0 if wall is None else wall + seconds, wall is not None)


def record(*words: Word, wall: float | None = BEGUN, **changes: object) -> SoakRecord:
    """A record of one boot: kind, monotonic time, soak's time, phase and words of each event."""
    events = tuple(EventRecord(n, kind, at(when, wall=wall), elapsed, phase, said)
                   for n, (kind, when, elapsed, phase, said) in enumerate(words, 1))  # fmt: skip
    made = SoakRecord(7, "small", "A small soak", PLAN, at(0, wall=wall), None, "", None, events)
    return replace(made, **changes)  # type: ignore[arg-type]


def told(made: SoakRecord) -> Sheet:
    """Its sheet, in UTC."""
    return sheet(read_story(made, UTC))


WHOLE: tuple[Word, ...] = (
    ("started", 0, 0, 0, "A small soak"),
    ("phase", 30, 0, 0, "pan, slow"),
    ("look", 150, 120, 0, "2 min: left margin 5 %, first reading"),
    ("look", 150, 120, 0, "2 min: top margin 6 %, first reading"),
    ("look", 150, 120, 0, "2 min: 2 of 11 looked at, 2 different; not seen: tint, focus"),
    ("paused", 330, 300, 0, "by a key"),
    ("resumed", 390, 300, 0, "by a key"),
    ("phase", 690, 600, 1, "white, 75"),
    ("paused", 700, 610, 1, "black by a key"),
    ("resumed", 710, 610, 1, "by a key"),
    ("phase", 760, 660, 2, "rest, set off"),
    ("paused", 1360, 1260, 3, "rest over, set to be switched on"),
    ("resumed", 1400, 1260, 3, "set on, from cold"),
    ("phase", 1430, 1260, 3, "pan, slow"),
    ("observation", 1500, 1330, 3, "size changed"),
    ("look", 1600, 1430, 3, "23 min: left margin 5 → 7 %"),
    ("look", 1600, 1430, 3, "23 min: 11 of 11 looked at, 1 different"),
    ("skipped", 1700, 1500, 3, "pan, slow: 300 s left out"),
    ("ended", 1700, 1800, 3, "complete"),
)


def test_a_soak_without_trouble() -> None:
    """Every part of the sheet, worked out by hand."""
    beats = tuple(Beat(at(60 * n), 60 * n, 0) for n in range(29))
    made = told(record(*WHOLE, beats=beats, ended=at(1700), how="complete"))
    assert (made.begun, made.ended) == ("2023-11-14 22:13 UTC", "2023-11-14 22:41 UTC")
    assert made.outcome == "ended at 0:30 of 0:30: complete but for 5 min left out"
    assert made.ran == "28 min"
    assert made.person == (
        "a person last looked at 0:23 of the soak (2023-11-14 22:40 UTC); "
        "last at the keys, as far as they are logged, at 0:25"
    )
    assert made.noted == "1 observed: size changed; 1 different in looks; looks taken: 2 (2 planned)"
    assert [(line.at, line.what, line.more) for line in made.interruptions] == [
        ("0:05", "waiting, dim: by a key", "60 s"),
        ("0:10", "black by a key", "10 s"),
        ("0:21", "rest over, waiting for the set", "40 s"),
        ("0:25", "pan, slow: 300 s left out", ""),
    ]
    assert [(line.at, line.what, line.more) for line in made.looks] == [
        ("2 min", "2 of 11 looked at",
         "first reading: left margin 5 %, top margin 6 %; nothing different; not seen: tint, focus"),
        ("23 min", "11 of 11 looked at", "left margin 5 → 7 %"),
    ]  # fmt: skip
    assert made.margins == (Margin("left margin", 5, 7), Margin("top margin", 6, 6))
    assert made.observations == (Line("0:22", "2023-11-14 22:38 UTC", "size changed"),)
    assert made.not_seen == ("5 min of pictures left out, skipped by a key",)
    assert made.health.words == "This board told neither temperature nor voltage"


def test_what_was_up() -> None:
    """The stretches of the same soak: kinds with their beginnings and ends on the monotonic clock."""
    spans = read_story(record(*WHOLE, ended=at(1700)), UTC).spans
    assert [(span.kind, span.begun.at, span.ended.at) for span in spans] == [
        (Kind.DIM, 0, 30), (Kind.SHOWN, 30, 330), (Kind.PAUSED, 330, 390), (Kind.SHOWN, 390, 690),
        (Kind.SHOWN, 690, 700), (Kind.BLACK, 700, 710), (Kind.SHOWN, 710, 760), (Kind.REST, 760, 1360),
        (Kind.SWITCH, 1360, 1400), (Kind.DIM, 1400, 1430), (Kind.SHOWN, 1430, 1700),
    ]  # fmt: skip
    assert [span.words for span in spans if span.kind is Kind.SHOWN] == [
        "pan, slow", "pan, slow", "white, 75", "white, 75", "pan, slow",
    ]  # fmt: skip


def test_a_clock_that_was_never_set() -> None:
    """No time is told that nobody knows, in the words and in the JSON; lengths are monotonic and stay."""
    made = told(record(*WHOLE, wall=None, ended=at(1700, wall=None)))
    assert {made.begun, made.ended, *(line.when for line in (*made.interruptions, *made.looks))} == {NOT_SET}
    assert f"({NOT_SET})" in made.person
    assert made.interruptions[0].more == "60 s"
    assert "2023" not in as_json(record(*WHOLE, wall=None), UTC)
    assert "1970" not in as_json(record(*WHOLE, wall=None), UTC)


def test_a_clock_that_was_set_later() -> None:
    """The earlier moments of that boot are worked out from it, and said to be."""
    events = (
        EventRecord(1, "started", at(0, wall=None), 0, 0, ""),
        EventRecord(2, "paused", at(600), 60, 0, "by a key"),
    )
    made = told(record(events=events, begun=at(0, wall=None)))
    assert made.begun == "2023-11-14 22:13 UTC (clock set later)"
    assert made.interruptions[0].when == "2023-11-14 22:23 UTC"


def test_time_zones_are_named() -> None:
    """A time is told with its distance from UTC, half hours too."""
    zone = timezone(-timedelta(hours=3, minutes=30))
    assert Course(record(), zone).when(at(0)) == "2023-11-14 18:43 UTC-03:30"


def cut(second: Callable[[float], Moment]) -> SoakRecord:
    """A soak that was last alive at 10 minutes and told of its cut by a later boot, 20 s after that came up."""
    first = record(*WHOLE[:2]).events
    beats = (Beat(at(90), 60, 0), Beat(at(630), 600, 0), Beat(second(80), 600, 0))
    events = (
        *first,
        EventRecord(3, "cut", second(20), 600, 1, "power cut at 0:10 of 0:30"),
        EventRecord(4, "resumed", second(140), 600, 1, "after the power cut"),
        EventRecord(5, "phase", second(170), 600, 1, "white, 75"),
        EventRecord(6, "ended", second(180), 610, 1, "by a key"),
    )
    return record(events=events, beats=beats, ended=second(180), how="by a key")


def test_a_cut_with_a_clock() -> None:
    """From the last sign of life to the next boot's first word, by the wall clock: 10 minutes here."""
    made = told(cut(lambda seconds: at(seconds, "b", BEGUN + 630 + 600 - 20)))
    assert [(line.at, line.what, line.more) for line in made.interruptions] == [
        ("0:10", "box off, or not running: power cut at 0:10 of 0:30", "10 min"),
        ("0:10", "waiting after the cut, dim", "2 min"),
    ]
    assert made.ran == "13 min"  # 630 s and 160 s


@pytest.mark.parametrize("wall", [None, BEGUN - 5000.0, 1e300])
def test_a_cut_without_one(wall: float | None) -> None:
    """Where the second boot's clock was not set, or stands before the first's, nobody can tell how long it was off."""
    made = told(cut(lambda seconds: at(seconds, "b", wall)))
    assert [line.more for line in made.interruptions] == ["nobody can tell how long", "2 min"]


def test_a_service_started_again_in_one_boot() -> None:
    """Without a power cut the monotonic clock goes on, and tells how long nothing ran."""
    words = (*WHOLE[:2], ("cut", 700.0, 600.0, 1, "power cut at 0:10 of 0:30"))
    made = record(*words, wall=None, beats=(Beat(at(630, wall=None), 600, 0),))
    assert [(line.what, line.more) for line in told(made).interruptions] == [
        ("box off, or not running: power cut at 0:10 of 0:30", "70 s"),
        ("waiting after the cut, dim", "0 s"),
    ]
    assert told(made).outcome == "cut at 0:10 of 0:30, not taken up again"


def test_one_that_has_not_ended() -> None:
    """It may be cut, and it may be going on: the sheet does not pretend to know."""
    made = told(record(*WHOLE[:5], beats=(Beat(at(630), 600, 0),)))
    assert made.ended == "not ended"
    assert made.outcome == ("not ended: last sign of life at 0:10 of 0:30; its power was cut, or it is still going on")
    assert made.not_seen[0] == "the last 20 min of the plan were not shown"


def test_one_that_was_stopped_with_the_box() -> None:
    """The program was ended in order and nobody took the soak up since: that is known, and said."""
    made = told(record(*WHOLE[:2], ("paused", 330.0, 300.0, 0, "the box was stopped")))
    assert made.outcome == "the box was stopped at 0:05 of 0:30, and it was not taken up again"
    assert made.interruptions == ()


def test_what_the_box_warned_of() -> None:
    """Each warning with its time, and no interruption is made of it."""
    made = told(record(*WHOLE[:2], ("warned", 330.0, 300.0, 0, "zone 5 leads"), ("paused", 340.0, 310.0, 0, "too hot")))
    assert [(line.at, line.what) for line in made.warnings] == [("0:05", "zone 5 leads")]
    assert [line.what for line in made.interruptions] == ["waiting, dim: too hot"]


def test_one_of_which_nothing_was_kept() -> None:
    """No event, no beat, no plan: said so, and nobody looked."""
    made = told(record(plan=""))
    assert made.outcome == "not ended: last sign of life at 0:00; its power was cut, or it is still going on"
    assert made.person == "nobody looked, as far as the log tells"
    assert made.interruptions == ()
    assert made.noted == "nothing noted; looks taken: 0"
    assert made.not_seen == ("the log has no events", "the plan could not be read")


def test_what_nobody_saw() -> None:
    """Looks offered in vain, a log that was full, a heart that stood still while the soak's time went on."""
    words: tuple[Word, ...] = (
        *WHOLE[:2],
        ("look", 150, 120, 0, "2 min: offered, not taken"),
        ("look", 600, 570, 0, "15, 30 min: not offered"),
    )
    beats = (Beat(at(90), 60, 0), Beat(at(330), 300, 0))
    made = told(record(*words, beats=beats, left_out=12))
    assert made.not_seen == (
        "the last 20 min of the plan were not shown",
        "at 0:02: no sign of life for 3 min",
        "at 0:05: no sign of life for 4 min",
        "looks nobody took: at 2, 15, 30 min",
        "12 more events came and were only counted: the log was full",
    )
    assert made.person == (
        "nobody looked, as far as the log tells; last at the keys, as far as they are logged, at 0:00"
    )


def test_a_rest_that_was_not_held() -> None:
    """A rest cut short is told as that, apart from the pictures; together they are what the end lacks."""
    words = (
        *WHOLE[:2],
        ("skipped", 590.0, 560.0, 0, "pan, slow: 40 s left out"),
        ("skipped", 700.0, 690.0, 2, "rest, set off: 1740 s left out"),
        ("ended", 1300.0, 1800.0, 3, "complete"),
    )
    made = told(record(*words, ended=at(1300), how="complete"))
    assert made.outcome == "ended at 0:30 of 0:30: complete but for 30 min left out"
    assert made.not_seen[:2] == (
        "40 s of pictures left out, skipped by a key", "29 min of rest not held, skipped by a key",
    )  # fmt: skip


def test_a_cut_in_a_rest_from_the_keys_to_the_sheet(tmp_path: Path) -> None:
    """Skipped before the cut, cut 70 s into the rest: the sheet tells both, and the rest is held to its end."""
    bench = Bench(SOAK).started()
    bench.wait(100)
    bench.key("forward")
    bench.wait_for(State.RESTING)
    bench.wait(70)
    kept = Kept(tmp_path, SOAK, wall=BEGUN)
    kept.add(bench.log, BEGUN)
    kept.boot("boot-1")
    resumed = Soaking.resumed(SOAK, bench.soaking.elapsed(bench.now), RATE, 20.0, left_out=200)
    after = Bench(soaking=resumed, now=20.0)
    after.key("go", PressKind.HELD)
    after.wait_for(State.WAITING)
    after.key("go")
    after.wait_for(State.DONE)
    kept.add(after.log, BEGUN + bench.now + 900)
    kept.end(after.now, after.told("ended")[0])
    story = read_story(kept.record(), UTC)
    kept.close()
    made = sheet(story)
    assert made.outcome == "ended at 0:23 of 0:23: complete but for 3 min left out"
    assert made.not_seen[0] == "3 min of pictures left out, skipped by a key"
    assert "box off, or not running: power cut at 0:07 of 0:23" in {line.what for line in made.interruptions}
    rests = [span.ended.at - span.begun.at for span in story.spans if span.kind is Kind.REST]
    assert rests[-1] == pytest.approx(530, abs=1)
    dim = [span.ended.at - span.begun.at for span in story.spans if span.kind is Kind.DIM]
    assert dim == pytest.approx([30, 30], abs=1), "one at the start, one with the set on again; none before the rest"
    assert [bar.style for bar in timeline(story).bars].count("dim") == 2


def test_a_smell_is_a_caution() -> None:
    """What makes the soak wait goes first among the cautions, and the soak's waiting is an interruption."""
    words = (*WHOLE[:2], ("observation", 200.0, 170.0, 0, "smell"), ("ended", 260.0, 170.0, 0, "by a key"))
    made = told(record(*words, ended=at(260)))
    assert made.cautions[0].startswith("Noted in this soak: smell.")
    assert [(line.what, line.more) for line in made.interruptions] == [("waiting, dim: noted: smell", "60 s")]


def test_the_health_of_the_box() -> None:
    """The highest temperature with its time, the minutes with a low voltage; what is no temperature is passed over."""
    beats = (Beat(at(60), 60, 0, 51.2, False), Beat(at(120), 120, 0, 62.6, True), Beat(at(180), 180, 0, float("inf")))
    made = record(*WHOLE[:2], beats=beats)
    health = told(made).health
    assert health.words == "63 °C at most (2023-11-14 22:15 UTC); low voltage in 1 of 2 minutes told"
    assert (health.lowest, health.highest, health.undervoltage, health.told) == (51.2, 62.6, 1, 2)
    drawn = health_curve(read_story(made, UTC), 80.0)
    assert drawn is not None
    assert len(drawn.curves[0].split()) == 2
    assert [mark.label for mark in drawn.lanes] == ["50 °C", "60 °C", "70 °C", "80 °C", "voltage too low"]
    assert health_curve(read_story(record(*WHOLE), UTC), 80.0) is None


def test_the_timeline_is_to_scale() -> None:
    """Across is the time the box ran: half of it lies in the middle; a cut takes a fixed width whatever it was."""
    drawn = timeline(read_story(record(*WHOLE, ended=at(1700)), UTC))
    rest = next(bar for bar in drawn.bars if bar.style == "rest")
    assert rest.x == pytest.approx(LEFT + (RIGHT - LEFT) * 760 / 1700, abs=0.1)
    assert rest.width == pytest.approx((RIGHT - LEFT) * 600 / 1700, abs=0.1)
    assert [mark.label for mark in drawn.lanes] == [
        "dim start", "pan, slow", "white, 75", "rest, set off", "waiting", "a person",
    ]  # fmt: skip
    assert {bar.style for bar in drawn.bars if bar.label.startswith("picture: white")} == {"bright"}
    assert [mark.kind for mark in drawn.marks].count("look") == 2
    assert drawn.ticks[1].label == "0:05"
    (off,) = (bar for bar in timeline(read_story(cut(lambda s: at(s, "b", None)), UTC)).bars if bar.style == "off")
    assert off.width == pytest.approx(GAP, abs=0.1)


def test_many_pictures_share_a_lane() -> None:
    """A page holds so many lanes; the rest of the pictures lie in one of their own, and none is lost."""
    words = [("phase", 10.0 * n, 10.0 * n, n, f"picture {n}") for n in range(40)]
    drawn = timeline(read_story(record(*words, ("paused", 400.0, 400.0, 39, "by a key")), UTC))
    assert len(drawn.lanes) <= 18
    assert "other pictures" in {mark.label for mark in drawn.lanes}
    assert len(drawn.bars) == 41
    assert all(0 < bar.y < drawn.height for bar in drawn.bars)


def test_the_json_has_the_whole_log() -> None:
    """The sheet's fields, and every event as it was."""
    made = record(*WHOLE, ended=at(1700))
    told_there = json.loads(as_json(made, UTC))
    assert told_there["margins"][0] == {"name": "left margin", "first": 5, "last": 7}
    assert told_there["outcome"] == told(made).outcome
    assert [(event["kind"], event["elapsed"], event["words"]) for event in told_there["log"]] == [
        (kind, elapsed, said) for kind, _, elapsed, _, said in WHOLE
    ]


@pytest.mark.parametrize(
    "text",
    ["", "[", "[]", "3", "null", '{"phases": 3}', '{"phases": [3, {}, {"seconds": true}, {"seconds": -1}]}',
     '{"phases": [{"seconds": 1e400}]}', '{"phases": [{"seconds": 1' + "0" * 400 + "}]}", "[" * 100_000],
    ids=lambda text: text[:40],
)  # fmt: skip
def test_a_plan_that_is_none(text: str) -> None:
    """Rubbish is no plan, and no error."""
    assert read_plan(text).phases == ()


def test_a_plan_by_its_patterns() -> None:
    """A plan without words for its phases names them by pattern and variant; both names of the looks are known."""
    plan = read_plan('{"phases": [{"pattern": "pan", "variant": "slow", "seconds": 60}], "looks_minutes": [1]}')
    assert (plan.phases[0].words, plan.total, plan.looks) == ("pan slow", 60, (1,))


def test_a_soak_that_was_driven(tmp_path: Path) -> None:
    """From keys through the machine and the store to the sheet: the phases as planned, the cut, the end."""
    kept = eventful(tmp_path, find_soak("soak"))
    made = told(kept.record())
    kept.close()
    assert made.outcome.endswith("by a key")
    kinds = [line.what.split(":")[0] for line in made.interruptions]
    assert {"box off, or not running", "waiting after the cut, dim"} <= set(kinds)
    assert made.health.highest is not None
    assert made.person.startswith("a person last looked at")


def test_a_soak_driven_to_its_end(tmp_path: Path) -> None:
    """With nobody touching it: every phase is shown for its planned time, and the sheet says that it is complete."""
    bench = Bench(SOAK).started()
    while "ended" not in {event.kind for event in bench.log}:
        bench.wait(60)
        bench.key("go") if bench.soaking.state == "rest over" else None
    kept = Kept(tmp_path, SOAK, wall=BEGUN)
    kept.add(bench.log, BEGUN)
    kept.end(bench.now, "complete")
    story = read_story(kept.record(), UTC)
    kept.close()
    shown = [span for span in story.spans if span.kind in (Kind.SHOWN, Kind.REST)]
    assert [span.words or "rest" for span in shown] == [phase.words for phase in SOAK.phases]
    assert sheet(story).outcome == "ended at 0:23 of 0:23: complete"
    for span, phase in zip(shown, SOAK.phases, strict=True):
        offered = [look.event.moment.at for look in story.looks if look.words == ("offered, not taken",)]
        looked = 15 * sum(span.begun.at <= moment <= span.ended.at for moment in offered)
        assert span.ended.at - span.begun.at == pytest.approx(phase.seconds + looked, abs=1)
