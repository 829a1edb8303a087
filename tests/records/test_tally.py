"""Tests of the tally: what it says, that it fits, and that nothing is said twice or by a name of the program's own."""

from datetime import UTC
from functools import cache

import pytest

from appliance.findings import load_findings
from appliance.records import saying
from appliance.records.entries import Moment, Reading, VisitRecord
from appliance.records.saying import Kinds
from appliance.records.tally import CAPACITY, MOST_PAGES, code, tally_pages
from tests.records.invented import MOMENT, UNSET, finding, visit


@cache
def kinds() -> Kinds:
    """The kinds that ship."""
    return load_findings().kinds


def longest(number: int = 4321) -> VisitRecord:
    """Every kind there is, in two places each, under a long name."""
    findings = [finding(n, "shape", key, n % 3 + 1, zone) for n, key in enumerate(kinds(), 1) for zone in (1, 8)]
    return visit(findings, number=number, label="das große Nußbaumgerät aus der Küche bei Familie Müller")


def test_a_clean_visit_is_two_short_pages() -> None:
    """What, when, how, how far; that nothing was noted, and what was not tested."""
    text = "\n".join(page.split("\n", 1)[1] for page in tally_pages(visit(), kinds()))
    day = saying.when(visit())
    assert text.split("\n") == [
        "the walnut one", day, "composite, set cold", "A glance: 4 of 6 steps looked at",
        "RGB and component not tested", "nothing noted",
    ]  # fmt: skip
    assert len(tally_pages(visit(), kinds())) == 2


def test_five_findings_take_three_pages() -> None:
    """A usual visit is photographed in three."""
    keys = ("tilt", "burn-in", "off-centre", "conv-edge", "soft")
    assert len(tally_pages(visit([finding(n, "shape", key) for n, key in enumerate(keys)]), kinds())) <= 3


def test_findings_come_worst_first_with_their_places() -> None:
    """One line for a kind and its severity; what was taken back is not there."""
    noted = [
        finding(1, "shape", "tilt", 1), finding(2, "red", "burn-in", 3, 8), finding(3, "white", "burn-in", 3, 1),
        finding(4, "red", "off-centre", 2, undone=True), finding(5, "red", "burn-in", 3, 8),
    ]  # fmt: skip
    lines = "\n".join(tally_pages(visit(noted), kinds())).split("\n")
    burnt, turned = kinds()["burn-in"].name, kinds()["tilt"].name
    assert [line for line in lines if ": " in line and "looked" not in line] == [
        f"bad: {burnt}, bottom, top left", f"slight: {turned}, all over",
    ]  # fmt: skip


@pytest.mark.parametrize(
    "record", [visit(), longest(), visit(label="\x1b[31mx\n\ny" * 40)], ids=["clean", "long", "odd"]
)
def test_each_page_stands_alone_and_fits(record: VisitRecord) -> None:
    """Visit and page are on each, it fits the code, and has no sign that cannot be seen; nine pages at most."""
    pages = tally_pages(record, kinds())
    assert 1 <= len(pages) <= MOST_PAGES
    for number, page in enumerate(pages, 1):
        assert page.startswith(f"Fieldmouse visit {record.id}, {number} of {len(pages)}\n")
        assert len(page.encode()) <= CAPACITY
        assert page.replace("\n", "").isprintable()
        assert len(code(page)) <= 4 * 8 + 17  # ISO/IEC 18004: the modules a side of version 8


def test_what_has_no_room_is_counted() -> None:
    """The last line of the last page says how much more there is."""
    pages = tally_pages(longest(), kinds())
    items = sum(len(page.split("\n")) - 1 for page in pages) - 1
    assert len(pages) == MOST_PAGES
    assert pages[-1].split("\n")[-1] == f"and {5 + len(kinds()) - items} more: see the sheet"


def test_no_name_of_the_program_s_own_is_said() -> None:
    """Unknown kinds, steps, paths and severities are said in words all the same."""
    odd = visit([finding(1, "step-x", "kind_x", 9, 77)], path="path_x", warmth="warm_x", how="how_x")
    text = "\n".join(tally_pages(odd, kinds()))
    assert "_x" not in text
    assert "bad: a fault without a name here, all over" in text
    assert "signal path not said" in text
    assert saying.step_title(odd, "step-x") == "at another time"


def test_readings_are_told_with_their_unit() -> None:
    """A gauge's value as it was read."""
    text = "\n".join(tally_pages(visit(readings=[Reading(1, MOMENT, "left margin", 6.5, "%", 0.5)]), kinds()))
    assert text.endswith("\nleft margin 6.5 %")


def test_time_is_told_only_by_a_clock_that_was_set() -> None:
    """Else it is said not to be; a clock set within the same boot leads back to the start."""
    assert saying.when(visit(), UTC) == "2025-11-13 02:13"  # date -u -d @1763000000
    assert saying.when(visit(moment=UNSET)) == "time not set"
    assert "time not set" in tally_pages(visit(moment=UNSET), kinds())[0]
    later = Reading(1, Moment("boot-a", 160.0, 1763_000_060.0, True), "left margin", 6.5, "%", None)
    other = Reading(1, Moment("boot-b", 160.0, 1763_000_060.0, True), "left margin", 6.5, "%", None)
    assert saying.when(visit(moment=UNSET, readings=[later]), UTC) == "2025-11-13 02:13"
    assert saying.when(visit(moment=UNSET, readings=[other]), UTC) == "time not set"
    assert saying.when(visit(moment=Moment("boot-a", 0.0, 1e300, True))) == "time not set"
