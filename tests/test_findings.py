"""What each kind of fault means, and what a file of one's own may change."""

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from appliance.errors import Refused
from appliance.findings import Findings, Remedy, load_findings
from appliance.shipped import shipped

NOWHERE = Path("there/is/none")
SHIPPED = load_findings(NOWHERE)
TEXT = shipped("config/findings.yaml").read_text("utf-8")

OWN = """kinds:
  tilt:
    why: my customers never mind
  moire:
    group: the tube
    name: Woven rings
    seen: rings that come and go on fine patterns
    by: picture
    patterns: [multiburst, combination]
    causes: the mask against the picture
    mends: a little less focus
    remedy: [not a fault, not a fault, user control]
    test: another level of detail
    weight: [1, 1, 1]
    why: many good tubes show it
    apart: none
    place: none
    cautions: []
    danger: false
    sources: [practice]
"""

TABLE = {
    # The class of each severity as a careful practitioner would put it, from the trade's table of faults: A user
    # control, T trained person, S repair, X permanent, n no fault (common practice and repair notes; see its sources).
    "tilt": "ATT", "off-centre": "ATT", "narrow": "SSS", "small-bright": "SSS", "trapezium": "TTS",
    "conv-corner": "nnT", "conv-delta": "TTT", "purity-spot": "AAS", "purity-stays": "TTX", "doming": "nAX",
    "burn-in": "XXX",
    "weak-gun": "SXX", "weak-tube": "XXX", "glass": "XXX", "specks": "XXX", "tint-low": "TTT", "gun-missing": "SSS",
    "tint-drift": "nnS", "ghost": "nAA", "soft": "nTS", "soft-warm": "SSS", "line": "SSS", "hook": "nAA",
    "breathing": "nSS", "trip": "SSS", "whine": "nSS", "hum-2": "ASS", "interference": "nnS", "no-colour": "ASS",
    "field-near": "nnn", "tingle": "SSS", "smell": "SSS",
}  # fmt: skip
LETTERS = {"A": Remedy.USER, "T": Remedy.TRAINED, "S": Remedy.REPAIR, "X": Remedy.PERMANENT, "n": Remedy.NONE}


def refusal(folder: Path, text: str) -> str:
    """What loading ``text`` as one's own file says, without the folder."""
    path = folder / "findings.yaml"
    path.write_text(text, "utf-8")
    with pytest.raises(Refused) as caught:
        load_findings(path)
    assert "\n" not in str(caught.value)
    return str(caught.value).removeprefix(f"{folder}/")


@pytest.mark.parametrize("kind", TABLE)
def test_what_mends_it(kind: str) -> None:
    """User control, trained person, repair and permanent are four things."""
    fault = SHIPPED.kinds[kind]
    assert [fault.remedy_of(severity) for severity in (1, 2, 3)] == [LETTERS[letter] for letter in TABLE[kind]]


@pytest.mark.parametrize("kind", SHIPPED.kinds)
def test_each_kind_has_all_that_a_report_needs(kind: str) -> None:
    """Causes, remedy, test, reason and source; what opens the set has the caution for that."""
    fault = SHIPPED.kinds[kind]
    assert all(len(words) > 3 for words in (fault.causes, fault.mends, fault.test, fault.why))
    assert all(1 <= fault.weight_of(severity) <= 3 for severity in (1, 2, 3))
    if fault.danger:
        assert set(fault.cautions) & {"off", "burn", "mains"}
    assert not re.search(r"\b(buy|bargain|proved?)\b", " ".join((fault.causes, fault.mends, fault.why, fault.test)))
    assert "rejuven" not in fault.mends, "what can end a tube is never advised"


def test_never_the_tube_for_no_colour() -> None:
    """A repair at worst (repair notes)."""
    assert "never the tube" in SHIPPED.kinds["no-colour"].causes
    assert SHIPPED.kinds["no-colour"].remedy_of(3) is Remedy.REPAIR


@pytest.mark.parametrize(
    ("kind", "apart"),
    [("weak-gun", "tube or drive"), ("purity-stays", "bent mask or magnetism"), ("soft-warm", "tube or socket")],
)
def test_what_cannot_be_told_apart_at_a_viewing(kind: str, apart: str) -> None:
    """Cathode against drive, mask against magnetism, tube against socket (repair notes; common practice)."""
    assert SHIPPED.kinds[kind].apart == apart


def test_dangers_are_those_that_one_press_ends_a_visit_for() -> None:
    """Arcing, smoke and smell, a tingle, a collapsed line, and what overdrives or endangers a tube."""
    dangers = {key for key, fault in SHIPPED.kinds.items() if fault.danger}
    assert dangers == {"arc", "smell", "tingle", "line", "full-white", "small-bright", "danger"}


def test_a_danger_stays_one(tmp_path: Path) -> None:
    """A file of one's own cannot take it away: file and line."""
    said = refusal(tmp_path, "kinds:\n  line:\n    why: seldom\n    danger: false\n")
    assert said.startswith("findings.yaml:4: kinds.line.danger: is false")
    said = refusal(tmp_path, "danger_from:\n  tilt: 3\n  cord: 2\n  gless: 3\n")
    assert said == "findings.yaml:4: danger_from.gless: is no kind of fault"
    (tmp_path / "findings.yaml").write_text("danger_from:\n  tilt: 3\n  cord: 2\n", "utf-8")
    mine = load_findings(tmp_path / "findings.yaml")
    assert [mine.is_danger(*noted) for noted in (("tilt", 2), ("tilt", 3), ("cord", 2), ("glass", 3))] == [
        False, True, True, True,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("cautions:\n  live: Nothing to fear in there.\n", "findings.yaml:2: cautions.live: is a caution that ships"),
        ("cautions:\n  own: Do buy.\n", "findings.yaml:2: cautions.own: advises to buy"),
        ("kinds:\n  tilt:\n    cautions: []\n", "findings.yaml:3: kinds.tilt.cautions: lack live; those that ship"),
        ("kinds:\n  tilt:\n    why: Buy it all the same\n", "findings.yaml:3: kinds.tilt.why: advises to buy"),
        ("kinds:\n  tilt:\n    mends: buy, then turn it\n", "findings.yaml:3: kinds.tilt.mends: advises to buy"),
    ],
)
def test_care_is_not_taken_away(tmp_path: Path, text: str, said: str) -> None:
    """Nor does a file of one's own advise to buy: file and line."""
    assert refusal(tmp_path, text).startswith(said)


def test_cautions_may_be_added(tmp_path: Path) -> None:
    """Behind those that ship, by a name of their own."""
    path = tmp_path / "findings.yaml"
    path.write_text("cautions:\n  cat: The cat sleeps in there.\nkinds:\n  tilt:\n    cautions: [live, cat]\n", "utf-8")
    assert load_findings(path).kinds["tilt"].cautions == ("live", "cat")


def test_a_set_that_goes_off_stays_off() -> None:
    """It is not tried again (repair notes: a guard against X-rays may have done it)."""
    assert SHIPPED.kinds["trip"].cautions == ("off", "x-rays")


@pytest.mark.parametrize("kind", ["glass", "cord", "cabinet"])
def test_what_ends_a_visit_when_it_is_bad(kind: str, tmp_path: Path) -> None:
    """A crack, a cut cord, parts that can be reached: makers' safety pages; no file of one's own makes it later."""
    assert [SHIPPED.is_danger(kind, severity) for severity in (1, 2, 3)] == [False, False, True]
    (tmp_path / "findings.yaml").write_text(f"danger_from:\n  {kind}: 2\n", "utf-8")
    assert load_findings(tmp_path / "findings.yaml").is_danger(kind, 2)


def test_own_words_and_own_kinds(tmp_path: Path) -> None:
    """One key of a kind that ships is changed, a new kind comes after the others, the rest stays."""
    path = tmp_path / "findings.yaml"
    path.write_text(OWN, "utf-8")
    mine = load_findings(path)
    assert mine.kinds["tilt"].why == "my customers never mind"
    assert mine.kinds["tilt"].causes == SHIPPED.kinds["tilt"].causes
    assert list(mine.kinds) == [*SHIPPED.kinds, "moire"]
    assert mine.offered()["moire"].name == "Woven rings"


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("    why: my customers", "    whi: my customers", "findings.yaml:3: kinds.tilt.whi: unknown; the nearest"),
        ("[not a fault, not a fault, user control]", "[user control, not a fault, user control]",
         "findings.yaml:12: kinds.moire.remedy: gets milder"),
        ("[1, 1, 1]", "[1, 1]", "findings.yaml:14: kinds.moire.weight: has 2 entries"),
        ("[1, 1, 1]", "[1, 1, 4]", "findings.yaml:14: kinds.moire.weight.3: is '4'"),
        ("[multiburst, combination]", "[multiburst, combo]", "findings.yaml:9: kinds.moire.patterns.2: is 'combo'"),
        ("by: picture", "by: ear", "findings.yaml:8: kinds.moire.by: is 'ear'"),
        ("sources: [practice]", "sources: [hearsay]", "findings.yaml:20: kinds.moire.sources.1: is 'hearsay'"),
        ("sources: [practice]", "sources: []", "findings.yaml:20: kinds.moire.sources: are empty"),
        ("cautions: []", "cautions: [care]", "findings.yaml:18: kinds.moire.cautions.1: is 'care'"),
        ("Woven rings", "WWWWWWWWWWWWWWWWWWWWWWWWWWWW", "findings.yaml:6: kinds.moire.name: is"),
        ("Woven rings", "Woven rings on quite a few tubes", "findings.yaml:6: kinds.moire.name: is"),
        ("    group: the tube\n", "", "kinds.moire.group: missing"),
        ("user control]", "customer]", "findings.yaml:12: kinds.moire.remedy.3: is 'customer'; one of"),
    ],
)  # fmt: skip
def test_mistakes_name_file_and_line(tmp_path: Path, old: str, new: str, said: str) -> None:
    """What is wrong, on which line, and what is wanted."""
    assert old in OWN
    assert said in refusal(tmp_path, OWN.replace(old, new, 1))


@given(st.data())
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_spoilt_file_is_refused_in_one_line_or_read(tmp_path: Path, data: st.DataObject) -> None:
    """A part cut out or put in anywhere never gives anything else."""
    at = data.draw(st.integers(0, len(OWN)))
    gone = data.draw(st.integers(0, 12))
    junk = data.draw(st.text(st.sampled_from(" abz:-[]{}\"'\n0&*!|%9"), max_size=8))
    path = tmp_path / "findings.yaml"
    path.write_text(OWN[:at] + junk + OWN[at + gone :], "utf-8")
    said = str(path)
    try:
        assert isinstance(load_findings(path), Findings)
    except Refused as refused:
        said = str(refused)
    assert "\n" not in said
    assert str(path) in said


def test_every_line_of_what_ships_is_a_line() -> None:
    """No wider than the editors of the small machine it is read on."""
    assert max(len(line) for line in TEXT.splitlines()) <= 150
