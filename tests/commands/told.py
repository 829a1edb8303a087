"""A rehearsal by a script of the test's own, and what it told."""

import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from appliance.cli import main

Told = dict[str, Any]
Play = Callable[..., list[Told]]

RATES = {
    "240p": Fraction(13_500_000, 858 * 262),
    "480i": Fraction(13_500_000 * 2, 858 * 525),
    "288p": Fraction(13_500_000, 864 * 312),
    "576i": Fraction(13_500_000 * 2, 864 * 625),
}
"""Fields a second: samples and lines of ITU-R BT.601-7 and BT.1700, whole lines in each field of the progressive."""


def play(folder: Path, capsys: pytest.CaptureFixture[str], script: str, *words: str, settings: str = "") -> list[Told]:
    """Run ``rehearse --json`` with this script and these settings; each line told."""
    (folder / "script.txt").write_text(script, encoding="utf-8")
    given = ["rehearse", "--json", "--script", str(folder / "script.txt"), *words]
    if settings:
        (folder / "settings.yaml").write_text(settings, encoding="utf-8")
        given += ["--settings", str(folder / "settings.yaml")]
    assert main(given) == 0
    out, err = capsys.readouterr()
    assert not err
    return [json.loads(line) for line in out.splitlines()]


def first(told: list[Told], after: float = 0.0, **facts: object) -> Told:
    """The first line from a time on that has these facts."""
    return next(line for line in told if line["t"] >= after and all(line[name] == fact for name, fact in facts.items()))


def places(told: list[Told]) -> list[tuple[str, str]]:
    """Pattern and variant in order, each stay once."""
    stays: list[tuple[str, str]] = []
    for line in told:
        place = line["pattern"], line["variant"]
        if not stays or stays[-1] != place:
            stays.append(place)
    return stays
