"""The verdict on invented visits, as a careful practitioner would give it; and that no finding can make one milder.

Marks beside the rows: CP common practice without a source; M from memory; RN repair notes of the newsgroup
sci.electronics.repair (1998 to 2009); MAN makers' service manuals; MET Metha, Vingrys and Badcock 1993; LIFE a white
paper on the life of displays; OWN owners' manuals. The notes were read for the table of faults, not for this test.
"""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from appliance.activities.viewing_plan import PATHS, WARMTHS
from appliance.activities.viewing_record import Noted, Outcome
from appliance.errors import Refused
from appliance.findings import Findings, load_findings
from appliance.lettering.captions import fits
from appliance.routes import find_route
from appliance.shipped import shipped
from appliance.verdict import Facts, Level, Seen, Verdict, facts_of, judge, judge_for, load_rules, verdict_pages
from appliance.verdict.judging import NAMELESS
from appliance.verdict.rules import Rule
from appliance.video.formats import FORMATS

NOWHERE = Path("there/is/none")
FINDINGS = load_findings(NOWHERE)
RULES = load_rules(FINDINGS, NOWHERE)


def visit(*noted: str, path: str = "composite", warmth: str = "cold", box_low: bool = False, looked: int = 12) -> Facts:
    """A visit with findings written as kind, severity and, behind an @, the pattern: ``soft 1 @ multiburst``."""
    seen = []
    for words in noted:
        kind, severity, *pattern = words.replace("@", "").split()
        seen.append(Seen(kind, int(severity), None, "step", pattern[0] if pattern else ""))
    return Facts(tuple(seen), looked, 12, path, warmth, box_low, start_seen=True)


def verdict(facts: Facts) -> Verdict:
    """By the kinds and rules that ship."""
    return judge(facts, FINDINGS, RULES)


def everything(given: Verdict) -> str:
    """All the words of a verdict."""
    words = [given.headline, given.coverage, *given.limits, *given.not_faults, *given.cautions]
    return "\n".join(words + [f"{reason.says} {reason.apart or ''}" for reason in given.reasons])


TABLE = [
    # visit, level, weight, words that must be there; the mark of the judgement
    (visit(), Level.NOTHING, 0, "12 of 12 steps looked at"),  # CP: silence is not praise
    (visit(looked=9), Level.NOTHING, 0, "9 of 12 steps looked at"),  # CP
    (visit(warmth="warm"), Level.NOTHING, 0, "cold start not judged"),  # CP: a warm set scores no better
    (visit("tilt 1"), Level.USER, 1, "Picture turned: user control"),  # RN: turn the set, or its control
    (visit("off-centre 2"), Level.TRAINED, 1, "trained person"),  # RN
    (visit("overscan 3"), Level.TRAINED, 2, "matters"),  # RN; CP for games and computers
    (visit("conv-centre 2"), Level.TRAINED, 2, "Inside a set are voltages that kill"),  # RN, MAN: rings
    (visit("conv-corner 1"), Level.HARMLESS, 0, "Slight fringes in the corners"),  # RN, M
    (visit("tint-low 2", "tint-high 2"), Level.TRAINED, 2, "For a trained person"),  # MAN: cut-offs and drives
    (visit("narrow 2"), Level.REPAIR, 2, "For a repair"),  # RN: the supply is in doubt
    (visit("narrow 1", "hum-2 2"), Level.REPAIR, 2, "suspect the main filter capacitor"),  # RN
    (visit("ripple-edge 2", "hum-2 2"), Level.REPAIR, 2, "suspect the main filter capacitor"),  # RN
    (visit("trapezium 1"), Level.TRAINED, 1, "trained person"),  # RN: a tolerance
    (visit("trapezium 3", "conv-edge 3"), Level.REPAIR, 3, "suspect the yoke"),  # RN: yokes are not to be had
    (visit("breathing 2", "bend-white 2", "v-fold 1"), Level.REPAIR, 2, "read as one"),  # CP: tired electrolytics
    (visit("jump 2", "bend-white 2", "v-fold 1", "roll 2"), Level.REPAIR, 2, "read as one"),  # CP: more than three, too
    (visit("breathing 3"), Level.REPAIR, 3, "weighs heavily"),  # RN; M for over 5 %
    (visit("breathing 1"), Level.HARMLESS, 0, "Up to 2 % of growth"),  # RN
    (visit("purity-spot 1"), Level.USER, 1, "user control"),  # RN: it goes by degaussing
    (visit("purity-spot 3", "no-degauss 2"), Level.REPAIR, 2, "mend that first"),  # RN
    (visit("purity-stays 3"), Level.PERMANENT, 3, "Suspect: permanent"),  # RN: not to be told from one at a viewing
    (visit("purity-stays 2"), Level.PERMANENT, 3, "suspect a bent mask, or deep magnetism"),  # RN
    (visit("burn-in 1"), Level.PERMANENT, 1, "Permanent, weighs little"),  # RN, OWN: on flat fields only
    (visit("burn-in 3"), Level.LEAVE, 3, "they stay"),  # RN: seen in pictures
    (visit("weak-gun 2"), Level.PERMANENT, 3, "tube or drive"),  # CP: not told apart outside
    (visit("weak-gun 1"), Level.REPAIR, 2, "Suspect: for a repair"),  # CP: gone in a few minutes
    (visit("slow-start 2"), Level.REPAIR, 2, "likely repair"),  # CP: its tube may be worse, so no "at worst"
    (
        visit("slow-start 2", "weak-gun 2"),
        Level.PERMANENT,
        3,
        "Slow start and one weak gun: suspect a tired tube",
    ),  # CP
    (visit("weak-gun 2", "gun-late 2"), Level.PERMANENT, 3, "suspect its cathode"),  # CP, MAN
    (visit("weak-tube 2"), Level.PERMANENT, 3, "the tube is the set"),  # LIFE, CP
    (visit("weak-tube 1", "big-dim 2"), Level.PERMANENT, 3, "suspect a low anode voltage"),  # RN
    (visit("gun-missing 2", "wrong-hue 2"), Level.REPAIR, 2, "One gun is missing: the hue"),  # RN
    (visit("no-colour 3"), Level.REPAIR, 2, "No colour: repair"),  # RN: never the tube
    (visit("no-colour 3", path="luminance"), Level.EXCUSED, 0, "no colour to be seen"),  # CP
    (visit("soft 1 @ multiburst"), Level.EXCUSED, 0, "Composite is soft"),  # CP: composite's own blur
    (visit("soft 2 @ dots"), Level.TRAINED, 2, "Not sharp: trained person"),  # RN: focus
    (visit("soft 2 @ dots", path="modulator"), Level.EXCUSED, 0, "radio way's"),  # CP
    (visit("ghost 2"), Level.USER, 1, "user control"),  # termination: a note of a maker
    (visit("hum-1 1"), Level.EXCUSED, 0, "earth loop"),  # RN
    (visit("hum-1 2"), Level.REPAIR, 2, "set or earth loop"),  # RN
    (visit("hum-1 2", "roll 1", box_low=True), Level.EXCUSED, 0, "short of voltage"),  # CP: the box's own
    (visit("whine 1"), Level.HARMLESS, 0, "15.6 to 15.7 kHz"),  # CP
    (visit("interference 1"), Level.HARMLESS, 0, "wires of a grille tube"),  # M
    (visit("tint-drift 2"), Level.HARMLESS, 0, "30 to 45 minutes"),  # MET
    (visit("doming 1"), Level.HARMLESS, 0, "Noted, but no fault"),  # RN: at full contrast
    (visit("trip 2", "breathing 2"), Level.REPAIR, 3, "suspect the regulator"),  # RN
    (visit("cabinet 2", "purity-spot 2"), Level.REPAIR, 2, "suspect a fall"),  # CP
    (visit("cabinet 3"), Level.LEAVE, 3, "left unplugged"),  # MAN: parts reachable, do not power
    (visit("cord 3"), Level.LEAVE, 3, "Metal parts may be joined to the mains"),  # MAN
    (visit("cord 2"), Level.REPAIR, 2, "Mains cord faulty: repair"),  # MAN: a new cord
    (visit("glass 1"), Level.PERMANENT, 1, "Scratch, chip or crack"),  # RN
    (visit("glass 3"), Level.LEAVE, 3, "never switch it on"),  # RN: a crack
    (visit("small-bright 1"), Level.LEAVE, 3, "X-rays"),  # RN
    (visit("arc 1"), Level.LEAVE, 3, "off at the wall"),  # RN
    (visit("smell 2"), Level.LEAVE, 3, "off at the wall"),  # CP
    (visit("tingle 1"), Level.LEAVE, 3, "unplug"),  # MAN
    (visit("full-white 3"), Level.LEAVE, 3, "switch it off"),  # RN
    (visit("danger 3"), Level.LEAVE, 3, "Danger was noted"),  # CP
    (visit("line 2"), Level.LEAVE, 3, "Brightness down at once"),  # RN: what ends a visit is left where it is
    (visit("tick 2"), Level.REPAIR, 3, "do not try again"),  # RN: unless sold as dead
    (visit("tilt 3", "conv-edge 2", "burn-in 1"), Level.PERMANENT, 2, "Burnt-in marks: permanent"),  # worst class wins
    (visit("smear 2", "weak-gun 2"), Level.PERMANENT, 3, "late steps"),  # CP
    (visit("flyback-lines 2", "gun-short 2"), Level.REPAIR, 3, "suspect a short in its gun"),  # RN
    (visit("weak-gun 2", "weak-tube 2"), Level.PERMANENT, 3, "suspect a worn tube"),  # CP
    (visit("weak-gun 1", "slow-start 1"), Level.REPAIR, 2, "Suspect: for a repair"),  # CP: slight ones tell no tube
    (visit("slow-start 2", warmth="warm"), Level.REPAIR, 2, "tube or heater supply"),  # CP: late though it was warm
    (visit("no-degauss 3", warmth="warm"), Level.EXCUSED, 0, "The set was not cold"),  # PTC: a warm one does nothing
    (visit("no-degauss 2"), Level.REPAIR, 1, "No degaussing heard: repair"),  # RN
    (visit("slow-start 2", "weak-gun 2", warmth="warm"), Level.PERMANENT, 3, "suspect a tired tube"),  # CP
    (visit("weak-gun 2", "tint-low 2"), Level.PERMANENT, 3, "tinted dark parts"),  # CP: said of each that triggers it
    (visit("weak-gun 2", "smear 2"), Level.PERMANENT, 3, "or smears"),  # CP
    (visit("cabinet 2", "jump 2"), Level.REPAIR, 2, "beside blotches, fringes or jumps"),  # CP
]


@pytest.mark.parametrize(("facts", "level", "weight", "words"), TABLE)
def test_the_verdict_a_careful_practitioner_would_give(facts: Facts, level: Level, weight: int, words: str) -> None:
    """Level and weight of an invented visit, and the words that belong to it."""
    given = verdict(facts)
    assert (given.level, given.weight) == (level, weight)
    assert words in everything(given)


def test_every_rule_of_the_file_is_in_the_table() -> None:
    """Each rule, excuse, limit and false fault holds in some row: none is dead."""
    said = "\n".join(everything(verdict(facts)) for facts, *_ in TABLE)
    said += everything(verdict(visit(path="modulator"))) + everything(verdict(visit("sound 1", path="modulator")))
    said += everything(verdict(visit("weak-tube 1"))) + everything(verdict(visit("no-degauss 1")))
    said += everything(verdict(visit("no-degauss 1", warmth="", path="")))
    said += everything(verdict(visit("weak-gun 1 @ red", path="luminance")))
    every = [rule.says for rule in RULES.rules] + [excuse.says for excuse in RULES.excuses]
    every += [limit.says for limit in RULES.limits] + [entry.says for entry in RULES.not_faults]
    assert [words for words in every if words not in said] == []


@pytest.mark.parametrize("kind", FINDINGS.kinds)
def test_every_kind_alone(kind: str) -> None:
    """Never milder as it gets worse; what is not told apart is called suspect; its cautions are said; never a sale."""
    ranks = [verdict(visit(f"{kind} {severity}")) for severity in (1, 2, 3)]
    assert [given.level.rank for given in ranks] == sorted(given.level.rank for given in ranks)
    assert [given.weight for given in ranks] == sorted(given.weight for given in ranks)
    fault = FINDINGS.kinds[kind]
    assert all(FINDINGS.cautions[name] in ranks[2].cautions for name in fault.cautions)
    if fault.apart:
        assert "suspect" in everything(ranks[2]).lower() or ranks[2].level is Level.LEAVE
        assert any(reason.apart for reason in ranks[2].reasons)


@pytest.mark.parametrize("kind", [key for key, fault in FINDINGS.kinds.items() if fault.danger])
def test_what_ends_a_visit_is_left(kind: str) -> None:
    """Danger on the screen is danger in the verdict, however slight it was noted, with a rule of its own or without."""
    for rules in (RULES, replace(RULES, rules=())):
        assert judge(visit(f"{kind} 1"), FINDINGS, rules).level is Level.LEAVE


TUBE = ("worn-tube", "tired-tube", "tired-gun", "dim-tube")


@pytest.mark.parametrize("rule", [rule for rule in RULES.rules if rule.name in TUBE], ids=lambda rule: rule.name)
def test_a_tube_that_is_not_told_apart_condemns_no_set(rule: Rule) -> None:
    """Tube, drive and anode voltage look alike outside: suspect, from plain on, and however warm the set was."""
    kinds = (*rule.all, *rule.some[: rule.least])
    plain, slight = (verdict(visit(*(f"{kind} {severity}" for kind in kinds))) for severity in (2, 1))
    assert rule.says in [reason.says for reason in plain.reasons]
    assert plain.headline == "Suspect: permanent, weighs heavily"
    assert rule.says not in [reason.says for reason in slight.reasons]
    warm = verdict(visit(*(f"{kind} 3" for kind in kinds), warmth="warm"))
    assert rule.says in [reason.says for reason in warm.reasons]


def test_no_fault_is_said_of_no_faults_alone() -> None:
    """What may be the box's or the radio way's is not judged; a kind whose class is no fault is none."""
    radio, low = visit("soft 2 @ dots", path="modulator"), visit("hum-1 2", box_low=True)
    for facts in (radio, low, visit("hum-1 1", "whine 1")):
        assert verdict(facts).headline == "Not judged: may not be the set's"
    assert verdict(visit("whine 1", "tint-drift 1")).headline == "Noted, but no fault"


ANY_SEEN = st.builds(
    Seen,
    st.sampled_from(sorted(FINDINGS.kinds)),
    st.integers(1, 3),
    st.none() | st.integers(1, 9),
    st.just("step"),
    st.sampled_from(["multiburst", "dots", "grey", ""]),
)
ANY_VISIT = st.builds(
    Facts,
    st.lists(ANY_SEEN, max_size=8).map(tuple),
    st.integers(0, 12),
    st.just(12),
    st.sampled_from([*PATHS, ""]),
    st.sampled_from([*WARMTHS, "", "not said"]),
    st.booleans(),
    st.booleans(),
)


@given(ANY_VISIT, st.data())
@settings(max_examples=60)
def test_removing_a_finding_never_makes_a_verdict_worse(facts: Facts, data: st.DataObject) -> None:
    """Neither its level nor its weight, and no reason goes up that was not there."""
    if not facts.seen:
        return
    out = data.draw(st.integers(0, len(facts.seen) - 1))
    fewer = replace(facts, seen=facts.seen[:out] + facts.seen[out + 1 :])
    before, after = verdict(facts), verdict(fewer)
    assert after.level.rank <= before.level.rank
    assert after.weight <= before.weight


@given(ANY_VISIT, st.data())
@settings(max_examples=60)
def test_a_finding_noted_worse_never_makes_a_verdict_milder(facts: Facts, data: st.DataObject) -> None:
    """Neither its level nor its weight, whatever else was noted and whatever may excuse it."""
    if not facts.seen:
        return
    n = data.draw(st.integers(0, len(facts.seen) - 1))
    one = replace(facts.seen[n], severity=min(3, facts.seen[n].severity + 1))
    before, after = verdict(facts), verdict(replace(facts, seen=(*facts.seen[:n], one, *facts.seen[n + 1 :])))
    assert after.level.rank >= before.level.rank
    assert after.weight >= before.weight


@given(ANY_VISIT)
@settings(max_examples=60)
def test_looking_at_one_step_more_never_makes_a_verdict_worse(facts: Facts) -> None:
    """Nothing noted there: the same reasons, and no more that was not judged; the step may be the cold start."""
    more = replace(facts, looked=facts.looked + 1, steps=13, start_seen=True)
    before, after = verdict(facts), verdict(more)
    assert (after.level, after.weight, after.reasons) == (before.level, before.weight, before.reasons)
    assert set(after.limits) <= set(before.limits)


@given(ANY_VISIT)
@settings(max_examples=60)
def test_nothing_is_claimed_of_a_warmth_that_was_not_said(facts: Facts) -> None:
    """Neither that the set was cold nor that it was warm; an empty word and one that is not known are the same."""
    unsaid = [verdict(replace(facts, warmth=word)) for word in ("", "not said", "tepid")]
    assert unsaid[0] == unsaid[1] == unsaid[2]
    said = everything(unsaid[0])
    assert "Cold or warm was not said" in said
    assert not re.search(r"was not cold|From cold:|was warm", said)


@given(ANY_VISIT)
@settings(max_examples=60)
def test_the_worst_wins_and_the_words_are_honest(facts: Facts) -> None:
    """The level is the worst reason's, reasons come worst first; no word of a sale, of proof, or of praise."""
    given_ = verdict(facts)
    ranks = [reason.level.rank for reason in given_.reasons]
    assert ranks == sorted(ranks, reverse=True)
    assert given_.level.rank == (ranks[0] if ranks else 0)
    said = everything(given_).lower()
    assert not re.search(r"\b(buy|bought|bargain|proved|proven|certain|good|perfect|healthy)\b", said)
    assert given_.coverage == f"{facts.looked} of 12 steps looked at"
    if facts.warmth != "cold" or not facts.start_seen:
        assert "cold start not judged" in said
    for page in verdict_pages(given_):
        assert len(page) == 2
        assert page[0]


def test_a_cold_start_is_judged_where_it_was_looked_at() -> None:
    """The set is called cold, and the step at which it is switched on was looked at: both, or it is not judged."""
    route = find_route("glance", NOWHERE, FINDINGS)
    limit = "Cold start not judged: first picture, first colour, degaussing, cold joints"
    for looked, warmth, judged in (({1, 2}, "cold", True), ({1, 3}, "cold", False), ({1, 2}, "warm", False)):
        given_ = verdict(facts_of(Outcome(1, (), frozenset(looked), 10, "composite", warmth), route))
        assert (given_.cold_judged, limit not in given_.limits) == (judged, judged)
        assert given_.headline.endswith("cold start not judged") != judged


def test_what_an_own_file_took_away_is_still_told() -> None:
    """A kind noted before somebody's file lost it counts as a repair, by the words it was noted in, not by its key."""
    for title, said in (("Of old", "Of old"), ("", NAMELESS)):
        given_ = verdict(Facts((Seen("of-old", 2, title=title),), 12, 12, "composite", "cold"))
        assert given_.level is Level.REPAIR
        assert said in everything(given_)
        assert "of-old" not in everything(given_)


def test_every_page_fits_every_screen() -> None:
    """All pages of all rows of the table, by the lettering's own measure."""
    for page in {page for facts, *_ in TABLE for page in verdict_pages(verdict(facts))}:
        for fmt in FORMATS.values():
            assert fits([line for line in page if line], fmt), page


def test_a_viewing_s_outcome_is_judged() -> None:
    """Its notes with the patterns of their steps, its path, its warmth, how much was looked at."""
    route = find_route("glance", NOWHERE, FINDINGS)
    note = Noted(3, 0.0, "detail", "soft", 1, None, "Not sharp")
    outcome = Outcome(12, (note,), frozenset({1, 2, 10}), 10, "composite", "warm")
    facts = facts_of(outcome, route)
    assert facts.seen == (Seen("soft", 1, None, "detail", "multiburst", "Not sharp"),)
    assert verdict(facts).level is Level.EXCUSED
    pages = judge_for(route, FINDINGS, RULES)(outcome)
    assert pages[0][0] == "Not judged: may not be the"
    assert "3 of 10 steps looked at" in [line for page in pages for line in page]


RULES_TEXT = shipped("config/verdict.yaml").read_text("utf-8")
TINGLE = "name: tingle, all: [tingle]"


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (TINGLE, "name: tingle, all: [tngle]", "rules.4.all.1: is 'tngle', which is no kind of fault"),
        (TINGLE, "name: tingle, all: []", "rules.4.least: is 0 though all is empty"),
        ("sources: [safety-pages]", "sources: [hearsay]", "rules.4.sources.1: is 'hearsay'; one of"),
        ("remedy: repair, weight: 3, leave: true, sources: [safety-pages]",
         "remedy: not a fault, weight: 3, leave: true, sources: [safety-pages]", "rules.4.remedy: is not a fault"),
        ("patterns: [multiburst,", "patterns: [multbursts,", "excuses.3.patterns.1: is 'multbursts'"),
        ("says: \"Metal tingles: unplug it, the mains may be on it\"", "says: Mend it and buy it",
         "rules.4.says: advises to buy"),
        ("says: \"Colour, RGB and component not tested\"", "says: Buy it", "limits.6.says: advises to buy"),
        ("some: [hum-1, hum-2], least: 1", "some: [hum-1, hum-2], least: 3", "least: is 3, but some has 2 kinds"),
    ],
)  # fmt: skip
def test_mistakes_name_file_and_line(tmp_path: Path, old: str, new: str, said: str) -> None:
    """Of a box's own rules: what is wrong, where, and what is wanted."""
    assert old in RULES_TEXT
    path = tmp_path / "verdict.yaml"
    path.write_text(RULES_TEXT.replace(old, new, 1), "utf-8")
    line = next(n for n, text in enumerate(RULES_TEXT.splitlines(), 1) if old in text)
    with pytest.raises(Refused) as caught:
        load_rules(FINDINGS, path)
    assert str(caught.value).startswith(f"{path}:{line}: ")
    assert said in str(caught.value)


def test_an_own_list_takes_the_place_of_the_one_that_ships(tmp_path: Path) -> None:
    """The other lists stay."""
    path = tmp_path / "verdict.yaml"
    path.write_text("limits:\n  - {warmth: any, path: any, says: Not judged at all, sources: [practice]}\n", "utf-8")
    mine = load_rules(FINDINGS, path)
    assert judge(visit(), FINDINGS, mine).limits == ("Not judged at all",)
    assert mine.rules == RULES.rules


def test_findings_are_those_that_ship() -> None:
    """The table above is about them, and not about what stands in /etc."""
    assert isinstance(FINDINGS, Findings)
    assert len(FINDINGS.kinds) > 70
