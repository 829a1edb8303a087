"""The sheet and the card as pages: well-formed, complete, and hostile text in any field stays text."""

import io
from dataclasses import replace
from datetime import UTC
from functools import cache

import numpy as np
import pytest
from PIL import Image

from appliance.activities.viewing_plan import Route, Step
from appliance.records import card, sheet
from appliance.records.entries import Reading, RouteStep, StepRecord, StepState, VisitRecord
from appliance.records.judged import Knowledge
from appliance.records.thumbnail import png, thumbnail
from appliance.routes import find_route
from appliance.settings import load
from appliance.settings.tree import Settings
from tests.records.invented import MOMENT, UNSET, finding, visit
from tests.records.pages import HOSTILE, outside, shape, text_of


@cache
def known() -> Knowledge:
    """What ships."""
    return Knowledge.load()


def page_of(record: VisitRecord) -> str:
    """Its sheet."""
    return sheet.as_page(record, known(), UTC)


def eventful() -> VisitRecord:
    """A visit with findings at several steps, in zones and all over, one taken back, and a reading."""
    findings = [
        finding(1, "cold", "slow-start", 2), finding(2, "red", "weak-gun", 2), finding(3, "red", "burn-in", 3, 8),
        finding(4, "shape", "tilt", 1), finding(5, "shape", "conv-edge", 2, 3),
        finding(6, "shape", "hum-1", 2, undone=True),
    ]  # fmt: skip
    return visit(findings, readings=[Reading(1, MOMENT, "left margin", 6.5, "%", 0.5)])


def filled_with(text: str) -> VisitRecord:
    """A record whose every field that holds words holds this text."""
    steps = (RouteStep(text, text, text, text), StepState.REACHED), (RouteStep("x", text), StepState.LOOKED)
    return replace(
        visit([finding(1, text, text, 2, 5, text), finding(2, "lost", text, 1, None, text)]),
        label=text, route=text, how=text, title=text, path=text, warmth=text,
        readings=(Reading(1, MOMENT, text, 1.0, text, None),),
        steps=tuple(StepRecord(number, *step, MOMENT) for number, step in enumerate(steps, 1)),
    )  # fmt: skip


def plain_card() -> str:
    """The card of the settings that ship."""
    return card.as_page(load(), find_route("viewing", findings=known().findings))


@pytest.mark.parametrize("text", HOSTILE, ids=lambda text: ascii(text)[:24])
def test_hostile_text_stays_text(text: str) -> None:
    """The page has exactly the elements and attributes that harmless words give it, and the text is there to read."""
    page = page_of(filled_with(text))
    assert shape(page) == shape(page_of(filled_with("harmless")))
    shown = " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())
    assert text_of(page).count(shown) >= 8
    assert "49" not in text_of(page_of(filled_with("{{ 7 * 7 }}"))).split("Findings")[0]


def test_hostile_text_on_the_card_stays_text() -> None:
    """Titles of a route, likewise."""
    pages = [
        card.as_page(load(), Route(text, text, (Step(text, text, text, text, (text,)),)))
        for text in ("harmless", *HOSTILE)
    ]
    assert {frozenset(shape(page).items()) for page in pages} == {frozenset(shape(pages[0]).items())}


def test_the_sheet_says_everything() -> None:
    """Set, when, findings by step with their meaning, the verdict and its reasons, what was not looked at, cautions."""
    text = text_of(page_of(eventful()))
    for words in (
        "the walnut one", "Visit 12", "2025-11-13 02:13", "composite", "set cold", "A glance", "4 of 6 steps looked at",
        "Late, dark first picture: plain, all over", "Burnt-in marks: bad, bottom", "6.5 ± 0.5 %",
        "Fringes at the edges: plain, top right", "Skipped: Sockets and controls", "Not reached: Off: the spot",
        "RGB and component not tested", "Suspect only", "A falling set kills.",
    ):  # fmt: skip
        assert words in text, words
    assert known().findings.kinds["hum-1"].name not in text
    assert "cathode" in text


def test_a_meaning_is_told_once() -> None:
    """The second finding of a kind says where the meaning of the first stands, at its step too; its own place stays."""
    noted = [finding(1, "red", "burn-in", 1, 8), finding(2, "red", "burn-in", 2, 1), finding(3, "shape", "burn-in", 1)]
    text = text_of(page_of(visit(noted)))
    assert text.count(known().findings.kinds["burn-in"].causes) == 1
    assert text.count("told at Red, a") == 2
    assert "Burnt-in marks: plain, top left" in text


def test_what_the_route_left_out_is_told() -> None:
    """The faults that none of its pictures shows plainly, but for those noted all the same; a tone is no picture."""
    for page, there in ((page_of(visit()), True), (page_of(visit([finding(1, "off", "doming")])), False)):
        told = text_of(page).partition("No picture of this route shows plainly:")[2].partition("Looked at:")[0]
        assert "Too much hidden" in told
        assert ("Bright patch turns colour" in told) == there
        assert "Sound faulty" not in told
    assert "No picture of this route" not in text_of(page_of(filled_with("x")))


def test_what_the_box_did_to_the_visit_is_told() -> None:
    """That it was short of voltage; and danger, where the visit ended for it though no note of it was kept."""
    text = text_of(page_of(replace(visit([finding(1, "shape", "tilt")], how="danger"), low=True)))
    assert "The box short of voltage meanwhile" in text
    assert "Leave it where it is" in text
    assert "short of voltage" not in text_of(page_of(visit()))
    known_danger = text_of(page_of(visit([finding(1, "white", "arc", 1)], how="danger")))
    assert "Danger was noted" not in known_danger
    assert "Leave it where it is" in known_danger


def test_a_clean_visit_is_not_called_good() -> None:
    """Nothing noted is said as that, with how much was looked at and that a clock was not set."""
    text = text_of(page_of(visit(moment=UNSET, warmth="")))
    assert "Nothing was noted. That says no more than that" in text
    assert "Nothing noted, cold start not judged" in text
    assert "time not set" in text
    assert "cold or warm not said" in text
    assert "good" not in text.lower().replace("for good", "")


def test_no_name_of_the_program_s_own_is_on_the_page() -> None:
    """Neither the keys of kinds and steps nor codes of states, paths and ends, known or not."""
    odd = visit(
        [finding(1, "step_x", "kind_x", 9, 77), finding(2, "red", "burn-in", 3, 8)], path="path_x", how="danger"
    )
    text = text_of(page_of(odd))
    assert "_x" not in text
    assert not {"conv-edge", "burn-in", "completed", "ahead", "looked;"} & set(text.split())
    assert "ended for danger" in text


def test_each_ninth_is_marked_where_it_lies() -> None:
    """Zone 1 is at the top left and 9 at the bottom right; marks stand in the zone noted, others outside."""
    findings = [finding(zone, "shape", "bow", 1, zone) for zone in (1, 6, 8)] + [finding(20, "shape", "tilt", 1)]
    (step,) = sheet.by_step(visit(findings), known())
    assert [(zone.x, zone.y, zone.marks) for zone in step.zones if zone.marks] == [
        (0, 0, "a"),
        (2, 1, "b"),
        (1, 2, "c"),
    ]
    assert step.everywhere == "d"
    assert len(step.zones) == 9


def test_the_picture_on_the_page_is_the_pattern() -> None:
    """A thumbnail is a true PNG at 4:3, read by another library: red is red, and an unknown pattern has none."""
    import base64  # beside its only use

    data = base64.b64decode(thumbnail("red", "100").partition(",")[2])
    with Image.open(io.BytesIO(data)) as image:
        assert image.format == "PNG"
        assert abs(image.size[0] / image.size[1] - 4 / 3) < 0.02
        assert np.asarray(image)[60, 80].tolist() == [255, 0, 0]
    assert thumbnail("no-such", "x") == thumbnail("red", "no-such") == ""


def test_png_keeps_every_pixel() -> None:
    """Read back by another library."""
    planes = np.random.default_rng(1).integers(0, 256, (7, 5, 3), dtype=np.uint8)
    with Image.open(io.BytesIO(png(planes))) as image:
        assert (np.asarray(image) == planes).all()


def test_the_page_refers_to_nothing_outside() -> None:
    """No address but data within the page; no script."""
    assert outside(page_of(eventful())) == outside(plain_card()) == []


def test_the_card_tells_of_this_box() -> None:
    """Keys and lamps by the lines in the settings; the route's steps in order."""
    text = text_of(plain_card())
    settings: Settings = load()
    assert all(f"GPIO {pin}" in text for pin in (*settings.keys.single.pins.values(), *settings.lamps.pins.values()))
    assert "hold vary for a second" in text
    titles = [step.title for step in find_route("viewing", findings=known().findings).steps]
    places = [text.index(title) for title in titles]
    assert len(places) > 10
    unwired = replace(settings, lamps=replace(settings.lamps, running=None))
    assert "(not fitted)" in text_of(card.as_page(unwired, Route("a", "A", ())))
    padded = replace(settings, keys=replace(settings.keys, pad=replace(settings.keys.pad, use=True)))
    assert "GPIO 5 or pad or keyboard" in text_of(card.as_page(padded, Route("a", "A", ())))
