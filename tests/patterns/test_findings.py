"""Every kind of fault that a picture can show has a picture: the table of faults against the catalogue.

The kinds are the trade's usual divisions of what goes wrong with a television set (common practice, no source).
"""

from pathlib import Path

import pytest

from appliance.findings import load_findings
from appliance.patterns.catalogue import catalogue

KINDS = load_findings(Path("there/is/none")).kinds


@pytest.mark.parametrize("key", KINDS)
def test_each_kind_says_what_is_seen_and_where(key: str) -> None:
    """By pictures that are in the catalogue and name it among their finds, all of them; or by another sense."""
    kind = KINDS[key]
    assert 10 < len(kind.seen) < 100
    showing = [name for name, entry in catalogue().items() if key in entry.finds]
    assert list(kind.patterns) == showing
    assert bool(showing) == (kind.by == "picture")


@pytest.mark.parametrize("key", catalogue())
def test_every_pattern_shows_kinds_that_there_are(key: str) -> None:
    """Each once, and at least one: a picture that shows no fault has no place in the catalogue."""
    finds = catalogue()[key].finds
    assert finds
    assert len(set(finds)) == len(finds)
    assert set(finds) <= set(KINDS)


def test_no_kind_is_told_in_another_s_words() -> None:
    """What is seen, and the name on the screen, tell the kinds apart."""
    assert len({kind.seen for kind in KINDS.values()}) == len(KINDS)
    assert len({kind.name for kind in KINDS.values()}) == len(KINDS)
