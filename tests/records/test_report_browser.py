"""The sheet as a browser shows and prints it."""

from datetime import UTC

import pytest

from appliance.records.report import as_page
from appliance.soaks import find_soak
from tests.records.browser import (
    ON_PHONE,
    WRONG,
    Opened,
    check_console,
    check_phone,
    check_width,
    needs_browser,
    opened,
)
from tests.records.pages import HOSTILE
from tests.records.soaked_records import eventful
from tests.records.test_report import WHOLE, at, cut, record
from tests.records.test_report_page import filled_with


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> Opened:
    """Sheets of every kind in one browser, and two pages that are wrong."""
    folder = tmp_path_factory.mktemp("browser")
    kept = eventful(folder / "records", find_soak("soak"))
    records = {
        "driven": kept.record(),
        "whole": record(*WHOLE, ended=at(1700), how="complete"),
        "cut": cut(lambda seconds: at(seconds, "b", None)),
        "empty": record(plan="", name="", title=""),
        "full": record(*(("phase", n, n, n % 4, f"picture {n % 40}") for n in range(300)), left_out=9),
        **{f"hostile-{number}": filled_with(text) for number, text in enumerate(HOSTILE)},
    }
    kept.close()
    return opened({name: as_page(made, 80, UTC) for name, made in records.items()} | WRONG, folder)


@needs_browser
def test_no_console_error(seen: Opened) -> None:
    """Of all pages only the one that is wrong on purpose is complained of, beside the line that shows it is heard."""
    check_console(seen)


@needs_browser
def test_nothing_stands_out_of_the_paper(seen: Opened) -> None:
    """In print, at the width of A4 less its margins, no sheet is wider than the paper and no part of it stands out."""
    check_width(seen, 5 + len(HOSTILE))
    good = [page for name, page in seen.pages.items() if name not in WRONG and not name.endswith(ON_PHONE)]
    assert all(687 <= page["client"] <= 689 for page in good)  # type: ignore[operator] # 182 mm at 96 dpi


@needs_browser
def test_a_phone_shows_the_whole_width(seen: Opened) -> None:
    """No sheet is wider than a narrow phone; a drawing is moved within its own frame."""
    check_phone(seen, 5 + len(HOSTILE))


@needs_browser
def test_a_whole_soak_fits_two_sheets(seen: Opened) -> None:
    """An eventful soak of four hours prints on two sheets of paper: 265 mm of height each, at 96 dpi."""
    assert seen.pages["driven"]["height"] < 2 * 265 / 25.4 * 96  # type: ignore[operator]
