"""Routes from files: those that ship, and every way to write one wrongly."""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from appliance.activities.viewing_plan import MORE, Route, Sort
from appliance.errors import Refused
from appliance.findings import fits_everywhere, load_findings
from appliance.patterns.catalogue import catalogue
from appliance.routes import FLAT_LIMIT, FULL_LIMIT, find_route, guide, load_route, route_names
from appliance.shipped import shipped

NOWHERE = Path("there/is/none")
FINDINGS = load_findings(NOWHERE)
ROUTES = {name: find_route(name, NOWHERE, FINDINGS) for name in route_names(NOWHERE)}
GOOD = """title: Mine
steps:
  - name: shape
    title: Shape
    look: Straight lines
    pattern: crosshatch
    variant: white
    seconds: 0
    goes_on: false
    likely: [tilt, bow, pincushion]
    words:
      - [First line, second line]
      - [One alone]
  - name: white
    title: White
    look: Growth
    pattern: white
    variant: 100
    seconds: 10
    goes_on: true
    likely: [breathing, trip, burn-in]
    words: []
"""


def refusal(folder: Path, text: str) -> str:
    """What loading ``text`` says, without the folder."""
    path = folder / "mine.yaml"
    path.write_text(text, "utf-8")
    with pytest.raises(Refused) as caught:
        load_route(path, FINDINGS)
    assert "\n" not in str(caught.value)
    return str(caught.value).removeprefix(f"{folder}/")


def test_what_ships() -> None:
    """A viewing, a glance, a long look, and the bench order of setting up."""
    assert {name: len(route.steps) for name, route in ROUTES.items()} == {
        "glance": 10,
        "long-look": 35,
        "setup": 21,
        "viewing": 23,
    }


def keys(name: str) -> list[str]:
    """The steps of a route that ships."""
    return [step.key for step in ROUTES[name].steps]


@pytest.mark.parametrize("name", ["viewing", "glance", "long-look"])
def test_the_order_of_the_trade(name: str) -> None:
    """Cold start, load, burnt-in marks and purity, shape, movement, fringes, then steps and bars (common practice)."""
    order = ("set-off", "cold-start", "white", "red", "green", "blue", "grey", "shape", "moving", "fringes", "steps",
             "guns", "bars", "detail", "window", "bounce", "formats", "sound", "shape-warm", "white-warm",
             "off")  # fmt: skip
    there = [key for key in order if key in keys(name)]
    assert [key for key in keys(name) if key in order] == there
    assert name == "glance" or there == list(order)


def test_mid_grey_is_first_and_full_white_never_is() -> None:
    """From cold there is half a minute of grey at least in the long look, and grey before white in all."""
    for name in ("viewing", "glance", "long-look"):
        first = ROUTES[name].steps[0]
        assert (first.pattern, first.variants[0]) == ("grey", "50")
        assert keys(name).index("cold-start") < keys(name).index("white")


@pytest.mark.parametrize("name", ["viewing", "glance", "long-look"])
def test_the_set_is_looked_at_before_it_is_switched_on(name: str) -> None:
    """A crack, a cut cord and a broken case come before any picture (common practice): they are offered first."""
    assert keys(name)[:2] == ["set-off", "cold-start"]
    assert {"glass", "cord", "cabinet"} <= set(ROUTES[name].steps[0].likely)


@pytest.mark.parametrize("name", ["viewing", "long-look"])
def test_a_blotch_stays_only_after_two_demagnetisings(name: str) -> None:
    """The set demagnetises itself from cold alone (repair notes), so the warm white offers a blotch and no more."""
    (white,) = (step for step in ROUTES[name].steps if step.key == "white-warm")
    assert "purity-spot" in white.likely
    assert "purity-stays" not in white.likely


def test_hum_bars_are_given_time_to_drift() -> None:
    """Twenty seconds of grey at least: a bar passes once in some 17 (59.94 fields against 60 Hz of mains)."""
    for name in ("viewing", "long-look"):
        (grey,) = (step for step in ROUTES[name].steps if step.key == "grey")
        assert grey.seconds >= 20


def test_the_bench_order() -> None:
    """Place, warm-up, supply, focus, shape, degaussing, static, purity, static again, dynamic, check, grey, rest."""
    assert keys("setup") == [
        "before", "place", "warm-up", "supply", "rough", "centre", "linearity", "sides", "degauss", "static", "purity",
        "static-again", "dynamic", "purity-check", "purity-red", "cut-offs", "drives", "guns", "levels", "colour",
        "after",
    ]  # fmt: skip
    words = {step.key: " ".join(" ".join(page) for page in step.pages) for step in ROUTES["setup"].steps}
    assert ROUTES["setup"].steps[2].seconds == 1800
    for key, said in {
        "before": "isolating transformer", "supply": "Never raise anode voltage", "centre": "10 to 15 %",
        "static": "yoke can be placed", "dynamic": "implodes", "degauss": "pacemakers", "after": "Leakage",
    }.items():  # fmt: skip
        assert said in words[key]


@pytest.mark.parametrize("name", ROUTES)
def test_no_step_of_what_ships_wears_a_tube(name: str) -> None:
    """At full level a minute at most, flat fields near it three; full white is counted; what moves has its caution."""
    for step in ROUTES[name].steps:
        own = step.variants[0]
        full = own in catalogue()[step.pattern].bright
        if full or (step.pattern in ("red", "green", "blue", "white") and int(own) >= 75):
            assert step.seconds <= (FULL_LIMIT if full else FLAT_LIMIT), step.key
        assert (step.sort is Sort.LOAD) == ((step.pattern, own) == ("white", "100"))
        assert step.sort is not Sort.MOVING or step.caution or step.pattern == "pan"
        assert not any(variant == "100" for variant in step.variants[1:])


@pytest.mark.parametrize("name", ROUTES)
def test_kinds_and_words_of_what_ships(name: str) -> None:
    """Three to five likely kinds a step, words that fit every screen."""
    for step in ROUTES[name].steps:
        assert 3 <= len(step.likely) <= 5
        assert all(fits_everywhere(line) for page in step.pages for line in page if line)
    assert ROUTES[name].title


def test_a_kind_that_a_picture_shows_is_likely_somewhere() -> None:
    """The viewing and the long look together offer nearly all of them first; what is left out is known."""
    likely = {kind for name in ("viewing", "long-look") for step in ROUTES[name].steps for kind in step.likely}
    left = {kind for kind, fault in FINDINGS.kinds.items() if fault.by == "picture"} - likely
    assert left <= {"small-bright", "big-dim", "field-near", "full-white", "line", "v-half", "ripple-edge"}


def test_a_guide_has_every_kind(tmp_path: Path) -> None:
    """Likely ones first, then all of them by their groups, danger last."""
    known = guide("viewing", tmp_path, FINDINGS)
    assert known.likely(0) == ("glass", "cabinet", "cord", "cataract", MORE)
    groups = known.behind(MORE)
    assert groups[-1] == MORE + "danger"
    assert {kind for group in groups for kind in known.behind(group)} == set(FINDINGS.kinds)


def test_a_route_of_the_box_goes_before_one_that_ships(tmp_path: Path) -> None:
    """By its file's name; a file may be named outright; an unknown one is refused with those there are."""
    (tmp_path / "glance.yaml").write_text(GOOD)
    assert find_route("glance", tmp_path, FINDINGS).title == "Mine"
    assert find_route(str(tmp_path / "glance.yaml"), NOWHERE, FINDINGS).title == "Mine"
    with pytest.raises(Refused, match=r"route 'no': unknown; there are glance, long-look, setup, viewing"):
        find_route("no", NOWHERE, FINDINGS)


def test_what_a_step_becomes(tmp_path: Path) -> None:
    """Its own variant first and no load behind it; caution, rest and sort from the catalogue."""
    path = tmp_path / "mine.yaml"
    path.write_text(GOOD, "utf-8")
    shape, white = load_route(path, FINDINGS).steps
    assert shape.variants[0] == "white"
    assert not {"inverse", "fine-inverse"} & set(shape.variants)
    assert shape.pages == (("Shape", "Straight lines"), ("First line", "second line"), ("One alone", ""))
    assert (white.sort, white.seconds, white.variants) == (Sort.LOAD, 10, ("100", "75", "50", "25", "10"))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("pattern: crosshatch", "pattern: croshatch",
         "mine.yaml:6: steps.1.pattern: is 'croshatch', which there is not; the nearest is crosshatch"),
        ("variant: white", "variant: pink", "mine.yaml:7: steps.1.variant: is 'pink', which crosshatch has not"),
        ("[tilt, bow,", "[tlt, bow,", "mine.yaml:10: steps.1.likely.1: is 'tlt', which is no kind of fault"),
        ("[tilt, bow, pincushion]", "[tilt, bow]", "mine.yaml:10: steps.1.likely: has 2 kinds; 3 to 5, each once"),
        ("[tilt, bow, pincushion]", "[tilt, bow, bow]", "mine.yaml:10: steps.1.likely: has 3 kinds; 3 to 5, each once"),
        ("look: Straight lines", "look: Buy if straight", "mine.yaml:5: steps.1.look: advises to buy; what to look"),
        ("title: Mine", "title: To buy or not", "mine.yaml:1: title: advises to buy"),
        ("[One alone]", "[Do not buy]", "mine.yaml:13: steps.1.words.2.1: advises to buy"),
        ("name: white", "name: shape", "mine.yaml:14: steps.2.name: is 'shape', as another step is"),
        ("seconds: 10", "seconds: 0", "mine.yaml:19: steps.2.seconds: leave full white without an end"),
        ("seconds: 10", "seconds: 90", "mine.yaml:19: steps.2.seconds: is 90, but white 100 stands 60 s at most"),
        ("goes_on: true", "goes_on: false", "mine.yaml:19: steps.2.seconds: leave full white without an end"),
        ("goes_on: false", "goes_on: true", "mine.yaml:8: steps.1.seconds: is 0, though the step goes on by itself"),
        ("[One alone]", "[One, two, three]", "mine.yaml:13: steps.1.words.2: has 3 lines; one or two are wanted"),
        ("title: Shape", "title: Shape of everything on the tube", "mine.yaml:4: steps.1.title: is 'Shape of"),
        ("title: Shape", "title: WWWWWWWWWWWWWWWWWWWWWWWW", "mine.yaml:4: steps.1.title: is 'WWWW"),
        ("seconds: 0", "seconds: soon", "mine.yaml:8: steps.1.seconds: is 'soon'; a whole number of seconds"),
        ("    look: Straight lines\n", "", "steps.1.look: missing"),
        ("look:", "loook:", "mine.yaml:3: steps.1.look: missing; it must be given (and 1 more)"),
    ],
)  # fmt: skip
def test_mistakes_name_file_and_line(tmp_path: Path, old: str, new: str, said: str) -> None:
    """What is wrong, on which line, and what is wanted."""
    assert old in GOOD
    assert said in refusal(tmp_path, GOOD.replace(old, new, 1))


def test_no_steps_at_all(tmp_path: Path) -> None:
    """A route needs one."""
    assert "mine.yaml:2: steps: are 0; 1 to 60 are wanted" in refusal(tmp_path, "title: Mine\nsteps: []\n")


@given(st.data())
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_spoilt_file_is_refused_in_one_line_or_read(tmp_path: Path, data: st.DataObject) -> None:
    """A part cut out or put in anywhere never gives anything else."""
    at = data.draw(st.integers(0, len(GOOD)))
    gone = data.draw(st.integers(0, 12))
    junk = data.draw(st.text(st.sampled_from(" abz:-[]{}\"'\n0&*!|%9"), max_size=8))
    path = tmp_path / "mine.yaml"
    path.write_text(GOOD[:at] + junk + GOOD[at + gone :], "utf-8")
    said = str(path)
    try:
        assert isinstance(load_route(path, FINDINGS), Route)
    except Refused as refused:
        said = str(refused)
    assert "\n" not in said
    assert str(path) in said


def test_the_files_tell_how_to_write_one() -> None:
    """Each explains its keys, or says where they are explained."""
    for name in ROUTES:
        text = shipped(f"config/routes/{name}.yaml").read_text("utf-8")
        assert text.startswith("# ")
        assert "/etc/fieldmouse/routes/" in text or "explained in viewing.yaml" in text.replace("\n# ", " ")
