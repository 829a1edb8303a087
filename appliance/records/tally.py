"""The short form of a visit: plain readable text in pages that each stand alone, and each page as a code.

It carries what was noted and what was not looked at, and no verdict: it is shown in front of the set's owner. It is
never the only copy; what is beyond the last page is on the sheet.
"""

from collections.abc import Iterator

import numpy as np

from appliance.patterns.code_page import Modules
from appliance.records import saying
from appliance.records.entries import VisitRecord
from appliance.records.saying import Kinds

LEVEL, CAPACITY = "m", 152
"""Of the codes: at most version 8, 49 modules a side, 152 bytes at level M (ISO/IEC 18004).

Found with two general decoders before a camera model (``tests/camera.py``): at level L, or in a version above, one of
them misses half of the photographs and more. A page with less in it takes a smaller version, and so larger modules.
"""

MOST_PAGES = 9


def tally_pages(record: VisitRecord, kinds: Kinds) -> tuple[str, ...]:
    """The pages of a visit's tally, each at most :data:`CAPACITY` bytes of UTF-8, and :data:`MOST_PAGES` at most."""
    heading = f"Fieldmouse visit {record.id}, 1 of 1"
    room = CAPACITY - len(heading.encode()) - 1
    items = [_cut(item, room) for item in _items(record, kinds)]
    pages = _packed(items, room)
    if len(pages) > MOST_PAGES:
        kept = _packed(items, room, spare=_more(len(items)))[:MOST_PAGES]
        left = len(items) - sum(map(len, kept))
        pages = [*kept[:-1], [*kept[-1], _more(left)]]
    return tuple(
        "\n".join((f"Fieldmouse visit {record.id}, {number} of {len(pages)}", *page))
        for number, page in enumerate(pages, 1)
    )


def code(page: str) -> Modules:
    """The code of a page of text, ``bool[side, side]``, without its quiet zone."""
    import segno  # not before it is asked for: most of what this program does needs none

    made = segno.make_qr(page.encode(), error=LEVEL, mode="byte", boost_error=False)
    return np.array(made.matrix, dtype=bool)


def code_words(number: int, page: int, pages: int) -> tuple[str, ...]:
    """What stands beside the code of a page: which visit, which page, and how it is photographed.

    A lone s after a figure is read as a 5; so it is written out.
    """
    return "Visit", str(number), f"{page} of {pages}", "1/30 sec", "dim", "room"


def _items(record: VisitRecord, kinds: Kinds) -> Iterator[str]:
    yield saying.label(record)
    yield saying.when(record)
    yield f"{saying.path(record)}, {saying.warmth(record)}"
    yield f"{saying.route(record)}: {saying.looked(record)}"
    yield saying.NOT_TESTED
    yield from _findings(record, kinds) or ["nothing noted"]
    for reading in record.readings:
        yield f"{saying.plain(reading.gauge)} {reading.value:g} {saying.plain(reading.unit)}"


def _findings(record: VisitRecord, kinds: Kinds) -> list[str]:
    """One line for each kind and severity, with all its places; the worst first, so that they are not cut off."""
    places: dict[tuple[str, str], dict[str, None]] = {}
    for finding in sorted(record.noted, key=lambda finding: -finding.severity):
        key = saying.severity(finding), saying.kind(finding, kinds)
        places.setdefault(key, {})[saying.place(finding)] = None
    return [f"{severity}: {kind}, {', '.join(where)}" for (severity, kind), where in places.items()]


def _packed(items: list[str], room: int, spare: str = "") -> list[list[str]]:
    """Items onto pages in their order; with ``spare``, the last page that counts has room for it."""
    pages: list[list[str]] = [[]]
    for item in items:
        needed = [*pages[-1], item, *([spare] if spare and len(pages) == MOST_PAGES else [])]
        if pages[-1] and len("\n".join(needed).encode()) > room:
            pages.append([])
        pages[-1].append(item)
    return pages


def _more(count: int) -> str:
    return f"and {count} more: see the sheet"


def _cut(item: str, room: int) -> str:
    data = item.encode()
    return item if len(data) <= room else data[: room - 3].decode(errors="ignore") + "..."
