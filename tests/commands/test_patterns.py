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
    """A person reads them all, under headings, in no line longer than 100 columns but for what is said below."""
    assert run(json=False) == 0
    out = capsys.readouterr().out
    words = out.split()
    table = out.split("\n\n")[0].splitlines()
    assert table[0].split()[:2] == ["key", "family"]
    assert max(map(len, table)) <= 100
    for key, entry in catalogue().items():
        assert {key, *entry.variants} <= set(words)


def test_table_tells_levels_and_rests(capsys: pytest.CaptureFixture[str]) -> None:
    """Full white is all of signal and light, and rests after a minute (common practice for tubes); bars are less."""
    run(json=False)
    rows = {line.split()[0]: line for line in capsys.readouterr().out.splitlines() if line[:1].isalnum()}
    assert " 100 " in rows["white"]
    assert rows["white"].endswith("timed, rest 60 s")
    assert rows["black"].split()[-3:] == ["0", "0", "stays"]
    # ITU-R BT.601-7 luma of eight bars: the mean of all sums of 0.299, 0.587, 0.114 is a half.
    assert "    50 " in rows["bars"]
