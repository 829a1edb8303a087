"""``soak --plan``: the timeline and what it asks of the tube, against integration of the frames themselves."""

import json
from typing import Any

import numpy as np
import pytest

from appliance.commands.soak import FORMAT, load_of, run
from appliance.errors import Refused
from appliance.patterns.catalogue import catalogue
from appliance.soaks import find_soak, soak_names
from appliance.video.formats import FORMATS
from tests.patterns.test_zone_light import integrated, period


def told(capsys: pytest.CaptureFixture[str], name: str) -> dict[str, Any]:
    """The plan as JSON."""
    assert run(name, plan=True, json=True) == 0
    plan: dict[str, Any] = json.loads(capsys.readouterr().out)
    return plan


@pytest.mark.parametrize("name", ["short", "soak", "watched"])
def test_the_timeline_is_whole(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Phases follow each other without a gap, to the total."""
    plan, at = told(capsys, name), 0
    for phase in plan["phases"]:
        assert phase["start"] == at
        at += phase["seconds"]
    assert at == plan["total_seconds"]
    assert plan["longest_still_bright_seconds"] == 60
    assert set(plan["white_hours"]) == set("123456789")


def test_means_and_dose_against_the_frames() -> None:
    """Each picture integrated sample by sample, a gliding one every 17th field, by its seconds (BT.1886, BT.601)."""
    fmt, soak = FORMATS["240p"], find_soak("watched")
    seen: dict[tuple[str, str], tuple[float, float, list[float]]] = {}
    signal, light, hours = 0.0, 0.0, np.zeros(9)
    for phase in soak.phases:
        key = (phase.pattern, phase.variant)
        if key not in seen:
            picture = catalogue()[phase.pattern].draw(fmt, phase.variant)
            whole = period(picture) if phase.moving else 1
            seen[key] = integrated(fmt, picture, range(0, whole, 1 if picture.turns else 17))
        share = phase.seconds / soak.total
        signal += 100 * seen[key][0] * share
        light += 100 * seen[key][1] * share
        hours += np.array(seen[key][2]) * phase.seconds / 3600
    load = load_of(soak, fmt)
    assert load.signal == pytest.approx(signal, abs=0.1)
    assert load.light == pytest.approx(light, abs=0.1)
    assert load.white_hours == pytest.approx(hours.tolist(), abs=0.003)


def test_the_table_is_read_by_people(capsys: pytest.CaptureFixture[str]) -> None:
    """Every phase with its start, the figures, nine zones; within 80 columns."""
    assert run("short", plan=True, json=False) == 0
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 80
    assert "0:10:00     60 s  white 75                        bright" in lines
    assert "longest still bright time     60 s" in lines
    assert "format of these figures       240p" in lines
    assert [len(line.split()) for line in lines[-3:]] == [3, 3, 3]


def test_what_another_format_changes() -> None:
    """As the plan's format is explained: more than its last figure, at most half a percent, a fortieth of the dose."""
    soak = find_soak("watched")
    here, there = load_of(soak, FORMATS[FORMAT]), load_of(soak, FORMATS["288p"])
    assert 0.1 < max(abs(here.signal - there.signal), abs(here.light - there.light)) <= 0.5
    assert there.white_hours == pytest.approx(here.white_hours, rel=1 / 40)


def test_a_soak_is_started_on_the_box() -> None:
    """Without ``--plan`` there is nothing to do here; an unknown name is told with those there are."""
    with pytest.raises(Refused, match="--plan"):
        run("short", plan=False, json=False)
    with pytest.raises(Refused, match=", ".join(soak_names())):
        run("night", plan=True, json=False)
