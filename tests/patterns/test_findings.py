"""Every kind of fault that a picture can show has a picture: the table of faults against the catalogue.

The kinds are the trade's usual divisions of what goes wrong with a television set (common practice, no source).
"""

from typing import Any

import pytest
import yaml

from appliance.patterns.catalogue import catalogue
from appliance.shipped import shipped

SENSES = {"eye", "ear", "hand", "nose"}
"""What tells a fault that no picture can show."""

KINDS: dict[str, Any] = yaml.safe_load(shipped("config/findings.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("key", KINDS)
def test_each_kind_says_what_is_seen_and_where(key: str) -> None:
    """By pictures that are in the catalogue and name it among their finds, all of them; or by another sense."""
    kind = KINDS[key]
    assert 10 < len(kind["seen"]) < 100
    showing = [name for name, entry in catalogue().items() if key in entry.finds]
    if "by" in kind:
        assert kind["by"] in SENSES
        assert set(kind) == {"group", "seen", "by"}
        assert not showing
    else:
        assert set(kind) == {"group", "seen", "patterns"}
        assert kind["patterns"] == showing
        assert showing


@pytest.mark.parametrize("key", catalogue())
def test_every_pattern_shows_kinds_that_there_are(key: str) -> None:
    """Each once, and at least one: a picture that shows no fault has no place in the catalogue."""
    finds = catalogue()[key].finds
    assert finds
    assert len(set(finds)) == len(finds)
    assert set(finds) <= set(KINDS)


def test_no_kind_is_told_in_another_s_words() -> None:
    """What is seen tells the kinds apart."""
    assert len({kind["seen"] for kind in KINDS.values()}) == len(KINDS)
