"""``patterns``."""

import json

import pytest

from appliance.commands.patterns import run
from appliance.patterns.catalogue import catalogue


def test_json_lists_the_catalogue(capsys: pytest.CaptureFixture[str]) -> None:
    """Objects with the promised names, in the order of stepping."""
    assert run(json=True) == 0
    rows = json.loads(capsys.readouterr().out)
    assert [row["key"] for row in rows] == list(catalogue())
    assert set(rows[0]) == {"key", "family", "title", "variants", "moving", "timed", "shows"}
    assert rows[0]["variants"][0] == "100"
    assert rows[0]["timed"] is True


def test_table_has_every_pattern_and_variant(capsys: pytest.CaptureFixture[str]) -> None:
    """A person reads them all, within the 80 columns of a plain terminal but for long lists of variants."""
    assert run(json=False) == 0
    words = capsys.readouterr().out.split()
    for key, entry in catalogue().items():
        assert {key, *entry.variants} <= set(words)
