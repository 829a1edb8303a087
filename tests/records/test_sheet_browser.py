"""The sheet and the card as a browser shows and prints them."""

import pytest

from appliance.records import card
from appliance.routes import find_route
from appliance.settings import load
from tests.records.browser import WRONG, Opened, check_console, check_phone, check_width, needs_browser, opened
from tests.records.pages import HOSTILE
from tests.records.test_sheet import eventful, filled_with, known, page_of, plain_card
from tests.records.test_tally import longest

SHEET_OF_PAPER = 265 / 25.4 * 96
"""CSS pixels of A4's height less the page's margins of 16 mm."""


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> Opened:
    """Pages of every kind in one browser, and two that are wrong."""
    pages = {"eventful": page_of(eventful()), "longest": page_of(longest()), "card": plain_card()}
    pages |= {f"hostile-{number}": page_of(filled_with(text)) for number, text in enumerate(HOSTILE)}
    pages["long-card"] = card.as_page(load(), find_route("long-look", findings=known().findings))
    return opened(pages | WRONG, tmp_path_factory.mktemp("browser"))


@needs_browser
def test_no_console_error(seen: Opened) -> None:
    """Of all pages only the one that is wrong on purpose is complained of, beside the line that shows it is heard."""
    check_console(seen)


@needs_browser
def test_nothing_stands_out_of_the_paper(seen: Opened) -> None:
    """In print, at the width of A4 less its margins, no page is wider than the paper and no part of it stands out."""
    check_width(seen, 4 + len(HOSTILE))


@needs_browser
def test_a_phone_shows_the_whole_width(seen: Opened) -> None:
    """No sheet and no card is wider than a narrow phone."""
    check_phone(seen, 4 + len(HOSTILE))


@needs_browser
def test_the_card_is_one_side_of_paper_and_a_usual_sheet_two(seen: Opened) -> None:
    """By their height in print."""
    heights = {name: float(str(page["height"])) for name, page in seen.pages.items()}
    assert heights["card"] <= SHEET_OF_PAPER
    assert heights["eventful"] <= 2 * SHEET_OF_PAPER
