"""Scripts of a rehearsal: any text gives events in order, or one refusal with file and line."""

from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from appliance.errors import Refused
from appliance.presses.edges import KEYS
from appliance.service.script import AFTER, PRESS_TIME, Event, parse_script, read_script

TIMES = st.floats(0, 10**7, allow_nan=False).map(lambda t: f"{t:.6f}")
LINES = st.one_of(
    st.builds("{} press {}".format, TIMES, st.sampled_from(KEYS)),
    st.builds("{} hold {} {}".format, TIMES, st.sampled_from(KEYS), TIMES),
    st.builds("{} {} {}".format, TIMES, st.sampled_from(["down", "up"]), st.sampled_from(KEYS)),
    st.builds("{} show {}".format, TIMES, st.sampled_from(["white", "bars:75/0/75/0", "black:0"])),
    st.builds("{} end  # enough".format, TIMES),
    st.builds("{} {}".format, TIMES, st.sampled_from(["soak short", "soak watched", "view glance", "cut", "power"])),
    st.sampled_from(["", "   ", "# only words", "\t# 3 press go"]),
)
NEARLY = st.one_of(LINES, st.text(max_size=30), st.builds("{} {}".format, TIMES, st.text(max_size=20)))


def in_order(events: list[Event]) -> bool:
    """Whether times never run backwards."""
    return all(a.at <= b.at for a, b in pairwise(events))


def parsed(text: str) -> tuple[list[Event], str]:
    """The events, or the refusal."""
    try:
        return parse_script(text, "a.txt"), ""
    except Refused as refused:
        return [], str(refused)


@settings(deadline=None)  # the first draw imports the catalogue
@given(st.one_of(st.text(), st.lists(NEARLY, max_size=6).map("\n".join)))
def test_any_text_gives_events_or_a_refusal(text: str) -> None:
    """Never another error; what comes is in order and has an end."""
    events, refusal = parsed(text)
    if refusal:
        name, number, _ = refusal.split(":", 2)
        assert name == "a.txt"
        assert 1 <= int(number) <= max(1, len(text.splitlines()))
    else:
        assert in_order(events)
        assert "end" in {event.what for event in events}
        assert {event.what for event in events} <= {"down", "up", "show", "soak", "view", "cut", "power", "end"}


@settings(deadline=None)
@given(st.lists(LINES, min_size=1, max_size=12))
def test_right_lines_are_taken(lines: list[str]) -> None:
    """Two events for a press and a hold, one for the others; comments and empty lines for none."""
    said = [line.split()[1] for line in lines if line.partition("#")[0].strip()]
    if not said:
        with pytest.raises(Refused, match="no event"):
            parse_script("\n".join(lines), "a.txt")
        return
    events = parse_script("\n".join(lines), "a.txt")
    ends = [] if "end" in said else ["end"]
    assert len(events) == len(said) + len(ends) + sum(what in ("press", "hold") for what in said)
    assert in_order(events)


def test_what_each_line_means() -> None:
    """A press is down and up, a hold as long as it says, a pattern without a variant gets its first."""
    text = "0 show white\n1 press go\n3.2 hold note 1.5\n4 down go\n5 up go # up again\n20 end\n"
    assert parse_script(text, "a.txt") == [
        Event(0, "show", "white:100"),
        Event(1, "down", "go"),
        Event(1 + PRESS_TIME, "up", "go"),
        Event(3.2, "down", "note"),
        Event(4, "down", "go"),
        Event(4.7, "up", "note"),
        Event(5, "up", "go"),
        Event(20, "end"),
    ]


def test_a_script_without_an_end_gets_one() -> None:
    """A while after its last event, whichever line that stands on."""
    assert parse_script("9 down go\n2 up go", "a.txt")[-1] == Event(9 + AFTER, "end")


def test_a_soak_without_an_end_is_let_end() -> None:
    """Half an hour after its dim start, and the usual minute; a cut and a power are events like others."""
    events = parse_script("10 soak short\n600 cut\n605 power", "a.txt")
    assert [event.what for event in events] == ["soak", "cut", "power", "end"]
    assert events[-1].at == 10 + 30 + 1800 + AFTER


def test_a_soak_that_there_is_not_is_refused() -> None:
    """With its line, and those that there are."""
    with pytest.raises(Refused, match=r"a\.txt:1: soak 'night': unknown; there are .*short"):
        parse_script("0 soak night", "a.txt")


def test_a_route_that_there_is_not_is_refused() -> None:
    """With its line, and those that there are."""
    assert parse_script("3 view glance\n9 end", "a.txt")[0] == Event(3, "view", "glance")
    with pytest.raises(Refused, match=r"a\.txt:1: route 'walk': unknown; there are glance, "):
        parse_script("0 view walk", "a.txt")


def test_the_faulty_line_is_named() -> None:
    """Comments and empty lines count as lines."""
    with pytest.raises(Refused, match=r"a\.txt:4: key 'fire': unknown; there are forward, back"):
        parse_script("# a\n\n0 press go\n1 press fire", "a.txt")


def test_files(tmp_path: Path) -> None:
    """Read as UTF-8; what cannot be read is refused with its name."""
    path = tmp_path / "ä.txt"
    path.write_text("1 end # ä", encoding="utf-8")
    assert read_script(path) == [Event(1, "end")]
    path.write_bytes(b"1 end # \xff")
    for wrong in (path, tmp_path, tmp_path / "missing"):
        with pytest.raises(Refused, match=r"cannot be read as a script"):
            read_script(wrong)
