"""More invented visits, judged before they were run: awkward ones, and what several findings say together.

Marks beside the rows as in ``test_verdict.py``: CP common practice without a source; RN repair notes; MAN makers'
service manuals; PTC the data sheet of a degaussing thermistor; LIFE a white paper on the life of displays.
"""

import pytest

from appliance.verdict import Facts, Level, Seen
from tests.test_verdict import everything, verdict, visit

NO_CLAIM = "of the words that must not be there: none"

TABLE = [
    # Little was noted, or nobody looked
    ("all looked at, cold", visit(), Level.NOTHING, 0, "Nothing noted", "not judged"),  # CP
    ("nothing looked at", visit(looked=0), Level.NOTHING, 0, "Nothing looked at", "Nothing noted"),  # CP
    ("one step looked at", visit(looked=1), Level.NOTHING, 0, "1 of 12 steps", "good"),  # CP
    ("no fault in a warm set", visit("whine 1", warmth="warm"), Level.HARMLESS, 0, "cold start not judged", "good"),
    ("a danger before the set was on", visit("glass 3", looked=1), Level.LEAVE, 3, "never switch it on", "nothing"),
    ("tilt at the only step", visit("tilt 2", looked=1), Level.TRAINED, 1, "1 of 12 steps", NO_CLAIM),  # RN
    # Cold, warm, not said
    ("slow though warm", visit("slow-start 2", warmth="warm"), Level.REPAIR, 2, "tube or heater", "tell nothing"),  # CP
    ("slow, weak, warm", visit("slow-start 2", "weak-gun 2", warmth="warm"), Level.PERMANENT, 3, "tired tube",
     NO_CLAIM),
    ("no degaussing, warm", visit("no-degauss 3", warmth="warm"), Level.EXCUSED, 0, "not cold", NO_CLAIM),  # PTC
    ("no degaussing, not said", visit("no-degauss 3", warmth=""), Level.EXCUSED, 0, "not said", "was not cold"),  # PTC
    ("no degaussing, not said, in words", visit("no-degauss 1", warmth="not said"), Level.EXCUSED, 0, "not said",
     "was not cold"),
    ("slow, not said", visit("slow-start 2", warmth=""), Level.REPAIR, 2, "not said", "was not cold"),  # CP
    ("nothing noted, not said", visit(warmth="not said"), Level.NOTHING, 0, "was not said", "From cold:"),  # CP
    ("blotch and no degaussing, warm", visit("purity-spot 2", "no-degauss 2", warmth="warm"), Level.USER, 2,
     "look again from cold", "mend that first"),  # PTC
    ("blotch and no degaussing, cold", visit("purity-spot 2", "no-degauss 2"), Level.REPAIR, 2, "mend that first",
     "not cold"),  # RN
    # The way of the signal
    ("soft by radio", visit("soft 2 @ multiburst", path="modulator"), Level.EXCUSED, 0, "radio way", NO_CLAIM),  # CP
    ("very soft by radio", visit("soft 3 @ dots", path="modulator"), Level.REPAIR, 2, "Not sharp", "radio way's"),  # RN
    ("soft by radio, and a tail", visit("soft 2", "smear 3", path="modulator"), Level.REPAIR, 2, "Tails", NO_CLAIM),
    ("plainly soft on bursts", visit("soft 2 @ multiburst"), Level.TRAINED, 2, "Not sharp", "Composite is soft"),  # RN
    ("soft on bursts and dots", visit("soft 1 @ multiburst", "soft 2 @ dots"), Level.TRAINED, 2, "judge focus on dots",
     NO_CLAIM),
    ("grey red field by luminance", visit("gun-missing 3 @ red", path="luminance"), Level.EXCUSED, 0, "Luminance only",
     "For a repair"),  # CP
    ("gun missing in grey by luminance", visit("gun-missing 3 @ grey", path="luminance"), Level.REPAIR, 2,
     "One colour not there", NO_CLAIM),  # RN
    ("blotch by luminance", visit("purity-spot 2", path="luminance"), Level.USER, 2, "Blotch", NO_CLAIM),  # RN
    ("faint bar, path not said", visit("hum-1 1", path=""), Level.EXCUSED, 0, "earth loop", NO_CLAIM),  # RN
    ("box low, path not said", visit("tear 2", path="", box_low=True), Level.EXCUSED, 0, "short of voltage", NO_CLAIM),
    ("path not said", visit(path=""), Level.NOTHING, 0, "RGB and component not", "composite itself"),  # CP
    # The box short of voltage
    ("box low, bad bar", visit("hum-1 3", box_low=True), Level.REPAIR, 2, "One drifting bar", "earth loop: o"),  # CP
    ("box low, jumps", visit("jump 2", box_low=True), Level.REPAIR, 2, "Size or place jumps", NO_CLAIM),  # RN
    ("box low, arcing", visit("arc 1", "roll 2", box_low=True), Level.LEAVE, 3, "It arcs", NO_CLAIM),  # RN
    # Several together
    ("danger and trifles", visit("smell 1", "specks 1", "cabinet 1", "tilt 1"), Level.LEAVE, 3, "Smoke or smell",
     NO_CLAIM),  # CP
    ("glass among trifles", visit("glass 3", "off-centre 1", "ghost 1"), Level.LEAVE, 3, "never switch it on",
     NO_CLAIM),
    ("cord among trifles", visit("cord 3", "skew 1"), Level.LEAVE, 3, "left unplugged", NO_CLAIM),  # MAN
    ("scratch and trifles", visit("glass 1", "ghost 2"), Level.PERMANENT, 1, "weighs little", "never switch"),  # RN
    ("burnt and user controls", visit("burn-in 2", "roll 1", "black-level 1"), Level.PERMANENT, 2, "Burnt-in",
     NO_CLAIM),
    ("burnt badly and user controls", visit("burn-in 3", "roll 1"), Level.LEAVE, 3, "they stay", NO_CLAIM),  # RN
    ("faintly burnt, one gun weak", visit("burn-in 1", "weak-gun 2"), Level.PERMANENT, 3,
     "Suspect: permanent, weighs heavily", NO_CLAIM),  # CP: what is heavy is suspect, what is sure is light
    ("weak and tinted, both slight", visit("weak-gun 1", "tint-low 1"), Level.REPAIR, 2, "tube or drive",
     "suspect its cathode"),  # CP: tinted darks are a setting first
    ("weak and smearing, both slight", visit("weak-gun 1", "smear 1"), Level.REPAIR, 2, "tube or drive",
     "suspect its cathode"),  # RN: a smear that goes with the contrast
    ("three slight ones of no repair", visit("lin-v 1", "breathing 1", "bend-white 1"), Level.TRAINED, 1,
     "trained person", "read as one"),  # CP: three for a repair are read as one
    ("three for a repair", visit("lin-v 3", "v-fold 1", "narrow 1"), Level.REPAIR, 2, "read as one", NO_CLAIM),  # CP
    ("two for a repair", visit("v-fold 2", "jump 1"), Level.REPAIR, 2, "For a repair", "read as one"),  # CP
    ("narrow, and a faint bar", visit("narrow 1", "hum-2 1"), Level.REPAIR, 2, "main filter capacitor",
     "may be an earth loop:"),  # RN
    ("dim and swollen", visit("weak-tube 2", "big-dim 1"), Level.PERMANENT, 3, "anode voltage before the tube",
     NO_CLAIM),
    ("mask and blotch", visit("purity-spot 3", "purity-stays 2"), Level.PERMANENT, 3, "Suspect: permanent", NO_CLAIM),
    ("goes off and dead", visit("trip 1", "tick 1"), Level.REPAIR, 3, "Set goes off", NO_CLAIM),  # RN
    ("no colour in a tired set", visit("no-colour 3", "soft 2"), Level.REPAIR, 2, "No colour: repair", "tube"),  # RN
    ("lines with one colour", visit("gun-short 1", "flyback-lines 1"), Level.REPAIR, 3, "short in its gun", NO_CLAIM),
    ("fall", visit("cabinet 2", "conv-edge 2"), Level.REPAIR, 2, "suspect a fall", NO_CLAIM),  # CP
    ("fringes large, shape nearly right", visit("conv-edge 3", "trapezium 1"), Level.REPAIR, 2, "Fringes at the edges",
     "suspect the yoke"),  # RN
    ("faint things that are none", visit("doming 1", "conv-corner 2", "field-near 3"), Level.HARMLESS, 0,
     "Noted, but no fault", "repair"),  # RN
    ("faint bar among no faults", visit("hum-1 1", "whine 1"), Level.EXCUSED, 0, "may not be the set's", NO_CLAIM),
    ("doming at moderate light", visit("doming 2"), Level.USER, 1, "user control", NO_CLAIM),  # RN
    ("spot that was always there", visit("off-spot 1"), Level.HARMLESS, 0, "no fault", "burnt"),  # CP
    ("rings under the glass", visit("cataract 3"), Level.REPAIR, 2, "A tube can implode", NO_CLAIM),  # a museum's pages
]  # fmt: skip


@pytest.mark.parametrize(
    ("facts", "level", "weight", "words", "never"), [row[1:] for row in TABLE], ids=[row[0] for row in TABLE]
)
def test_awkward_visits(facts: Facts, level: Level, weight: int, words: str, never: str) -> None:
    """Level and weight, the words that belong to it, and words that would be wrong."""
    given = verdict(facts)
    assert (given.level, given.weight) == (level, weight)
    assert words in everything(given)
    assert never not in everything(given)


def test_one_fault_in_several_zones_is_one_reason() -> None:
    """The worst of them counts, wherever it sits."""
    seen = tuple(Seen("conv-edge", severity, zone, "step", "crosshatch") for severity, zone in ((1, 4), (2, 6), (1, 9)))
    given = verdict(Facts(seen, 12, 12, "composite", "cold", start_seen=True))
    assert [(reason.kinds, reason.level, reason.weight) for reason in given.reasons] == [
        (("conv-edge",), Level.TRAINED, 2)
    ]
