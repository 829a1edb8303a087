"""Soaks from files: those that ship, and every way to write one wrongly."""

import os
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st

from appliance.activities.soak_plan import Soak
from appliance.errors import Refused
from appliance.shipped import shipped
from appliance.soaks import LONGEST, find_soak, load_soak, longest_still_bright, soak_names

SPOILT = int(os.environ.get("FIELDMOUSE_SPOILT_FILES", "200"))
"""How many spoilt files are tried."""

GOOD = """title: Mine
resume: true
presence: 15
looks: [2, 10]
parts:
  - repeats: 2
    phases:
      - {pattern: pan, variant: slow, seconds: 300}
      - {pattern: white, variant: 100, seconds: 60}
    rest: 600
  - repeats: 1
    phases:
      - {pattern: black, variant: 0, seconds: 60}
    rest: 0
"""
FULL = "      - {pattern: white, variant: 100, seconds: 60}\n"


def written(folder: Path, text: str) -> Path:
    """A file with ``text``."""
    path = folder / "mine.yaml"
    path.write_text(text, "utf-8")
    return path


def refusal(folder: Path, text: str) -> str:
    """What loading ``text`` says, without the folder."""
    with pytest.raises(Refused) as caught:
        load_soak(written(folder, text))
    assert "\n" not in str(caught.value)
    return str(caught.value).removeprefix(f"{folder}/")


def test_what_ships(tmp_path: Path) -> None:
    """Four hours with a rest after two, half an hour, a watched hour: none goes on by itself, all want somebody."""
    soaks = {name: find_soak(name, tmp_path) for name in soak_names(tmp_path)}
    assert {name: soak.total for name, soak in soaks.items()} == {"short": 1800, "soak": 14_400, "watched": 3600}
    assert not any(soak.resume for soak in soaks.values())
    assert all(soak.presence_minutes for soak in soaks.values())
    assert all(soak.total < 8 * 3600 for soak in soaks.values())
    assert all(longest_still_bright(soak) <= 60 for soak in soaks.values())
    rests = [n for n, phase in enumerate(soaks["soak"].phases) if phase.rest]
    assert [(soaks["soak"].start(n), soaks["soak"].phases[n].seconds) for n in rests] == [(7200, 1800)]
    assert soaks["soak"].looks == (2, 15, 30, 45, 60, 120, 180, 240)


def test_repeats_and_rests_are_written_out(tmp_path: Path) -> None:
    """Each turn in order, the rest after the part; what moves, loads and rests is known."""
    soak = load_soak(written(tmp_path, GOOD))
    assert (soak.name, soak.title, soak.resume, soak.presence_minutes, soak.looks) == (
        "mine",
        "Mine",
        True,
        15,
        (2, 10),
    )
    assert [phase.seconds for phase in soak.phases] == [300, 60, 300, 60, 600, 60]
    assert [phase.moving for phase in soak.phases] == [True, False, True, False, False, False]
    assert [phase.bright for phase in soak.phases] == [False, True, False, True, False, False]
    assert [phase.rest for phase in soak.phases] == [False] * 4 + [True, False]
    assert longest_still_bright(soak) == 60


def test_a_soak_of_the_box_goes_before_one_that_ships(tmp_path: Path) -> None:
    """By its file's name; a file may be named outright."""
    (tmp_path / "short.yaml").write_text(GOOD)
    assert find_soak("short", tmp_path).title == "Mine"
    assert find_soak(str(tmp_path / "short.yaml")).title == "Mine"
    with pytest.raises(Refused, match="'long': unknown; there are short, soak, watched"):
        find_soak("long", tmp_path)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("pattern: pan", "pattern: pam", "8: parts.1.phases.1.pattern: is 'pam', which there is not; the"),
        ("variant: slow", "variant: slw", "8: parts.1.phases.1.variant: is 'slw', which pan has not; one of"),
        ("pattern: black, variant: 0", "pattern: tone, variant: both", "13: parts.2.phases.1.pattern: is 'tone', but"),
        ("seconds: 300", "seconds: 9", "8: parts.1.phases.1.seconds: is '9'; a whole number of seconds from 10 to"),
        ("repeats: 2", "repeats: 100", "5: parts: last 10.2 hours; at most 8 are wanted: no soak is made for"),
        ("seconds: 60}\n    rest: 600", "seconds: 61}\n    rest: 600", "9: parts.1.phases.2.seconds: makes 61 s"),
        ("    rest: 600", FULL + "    rest: 600", "makes 120 s of still pictures at full level; at most 60 are wanted"),
        ("variant: 100, seconds: 60", "variant: 75, seconds: 181", "9: parts.1.phases.2.seconds: makes 181 s of still"),
        ("variant: 0, seconds: 60}\n", "variant: 0, seconds: 60}\n    rset: 0\n", "parts.2.rset: unknown; the"),
        ("    rest: 0", "    rest: 300", "14: parts.2.rest: is 300 after the last part; 0 is wanted"),
        ("    rest: 600", "    rest: 5", "10: parts.1.rest: is no rest; at least 60 seconds are wanted"),
        ("looks: [2, 10]", "looks: [10, 2]", "4: looks.2: is 2 after 10; later and later minutes are wanted"),
        ("looks: [2, 10]", "looks: [2, 24]", "4: looks.2: is 24, but the soak ends at 23 minutes"),
        ("resume: true", "resume: yes", "2: resume: is 'yes'; true or false is wanted"),
        ("presence: 15", "presence: 61", "3: presence: is '61'; a whole number of minutes from 0 to 60 is wanted"),
        ("title: Mine", "title: " + "W" * 28, "1: title: is"),
        ("title: Mine\n", "", "1: title: missing; it must be given"),
    ],
)  # fmt: skip
def test_what_is_refused(old: str, new: str, says: str, tmp_path: Path) -> None:
    """File, line, value and what is wanted, in one line."""
    assert says in refusal(tmp_path, GOOD.replace(old, new, 1))


def test_a_pipe_is_no_soak(tmp_path: Path) -> None:
    """A pipe nobody writes into holds up nobody: it is refused by its name, with what to do."""
    os.mkfifo(tmp_path / "mine.yaml")
    with pytest.raises(Refused, match=r"mine\.yaml: is no regular file; .*, or take it away"):
        find_soak("mine", tmp_path)


def test_an_empty_file_is_no_soak(tmp_path: Path) -> None:
    """What to do about it is a soak's remedy and not the settings'."""
    said = "mine.yaml: empty; keys and values are wanted (write a title and parts with phases into it, or take it away)"
    assert refusal(tmp_path, "# nothing yet\n") == said


def test_a_long_still_picture_is_refused(tmp_path: Path) -> None:
    """Two hours and a second of one grey, in parts; two hours of it, or of black, are taken."""
    grey = "      - {pattern: grey, variant: 25, seconds: 3600}\n"
    opening = "    phases:\n"
    head = GOOD.split(opening, maxsplit=1)[0].replace("repeats: 2", "repeats: 1") + opening
    tail = "    rest: 0\n"
    assert load_soak(written(tmp_path, head + 2 * grey + tail)).total == 7200
    assert "makes 7210 s of one still picture" in refusal(tmp_path, head + 2 * grey + grey.replace("3600", "10") + tail)
    assert load_soak(written(tmp_path, head + 3 * grey.replace("grey, variant: 25", "black, variant: 0") + tail))


def test_the_longest_there_is(tmp_path: Path) -> None:
    """Eight hours are taken, a phase of ten seconds more is not."""
    head, tail = GOOD.split("  - repeats: 2", maxsplit=1)[0], "    rest: 0\n"
    part = "  - repeats: 8\n    phases:\n      - {pattern: pan, variant: slow, seconds: 3600}\n"
    assert load_soak(written(tmp_path, head + part + tail)).total == LONGEST
    more = "  - repeats: 1\n    phases:\n      - {pattern: pan, variant: slow, seconds: 10}\n"
    assert "for the night" in refusal(tmp_path, head + part + tail + more + tail)


LINES = GOOD.splitlines(keepends=True)
NUMBERS = st.one_of(
    st.sampled_from(["0", "1", "2", "10", "59", "60", "61", "180", "600", "7200"]),
    st.integers(-5, 40_000).map(str),
    st.sampled_from(["", "none", "1e3", "0x10", "10 s", "nan", "[1]"]),
)
WORDS = st.sampled_from(
    ("pan", "slow", "quick", "white", "100", "75", "black", "0", "bounce", "faded", "tone", "both", "title", "rest",
     "parts", "repeats", "true", "crosshatch", "inverse")
)  # fmt: skip


@st.composite
def mutated(draw: st.DrawFn) -> bytes:
    """A good file with lines left out, doubled or swapped, words and numbers changed, and bytes spoilt at times."""
    lines = list(LINES)
    for _ in range(draw(st.integers(0, 3))):
        at, what = draw(st.integers(0, len(lines) - 1)), draw(st.sampled_from([0, 1, 2, 2, 3, 3, 3, 4]))
        if what == 0 and len(lines) > 1:
            del lines[at]
        elif what == 1:
            lines.insert(at, draw(st.sampled_from(lines)))
        elif what == 2:
            lines[at] = lines[at].replace(draw(WORDS), draw(WORDS))
        elif what == 3:
            lines[at] = re.sub(r"[0-9]+(?=[}\]]?$)", draw(NUMBERS), lines[at].rstrip()) + "\n"
        else:
            lines[at] = draw(st.text(max_size=30)) + "\n"
    data = bytearray("".join(lines).encode("utf-8", "replace"))
    for _ in range(draw(st.sampled_from([0, 0, 0, 1, 2])) if data else 0):
        data[draw(st.integers(0, len(data) - 1))] = draw(st.integers(0, 255))
    return bytes(data)


def loaded(path: Path) -> tuple[Soak | None, str]:
    """The soak, or what was said instead."""
    try:
        return load_soak(path), ""
    except Refused as refused:
        return None, str(refused)


@settings(
    max_examples=SPOILT,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(mutated())
def test_a_spoilt_file_is_a_soak_or_refused(tmp_path: Path, data: bytes) -> None:
    """One clear line with the file's name, or a soak within every limit; never anything else."""
    path = tmp_path / "spoilt.yaml"
    path.write_bytes(data)
    soak, said = loaded(path)
    event("refused" if soak is None else "a soak")
    if soak is None:
        assert said.startswith(str(path))
        return
    assert 10 <= soak.total <= LONGEST
    assert longest_still_bright(soak) <= 180


def test_every_key_that_ships_is_explained() -> None:
    """In the soak that explains them: each key of the top and of a part has words above it."""
    text = shipped("config/soaks/soak.yaml").read_text("utf-8")
    for key in ("title", "resume", "presence", "looks", "parts"):
        above = text.split(f"\n{key}:")[0].splitlines()[-1]
        assert above.startswith("#"), key
