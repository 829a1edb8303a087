"""``fieldmouse formats``: what is printed, for reading and for machines."""

from fractions import Fraction
from json import loads

import pytest

from appliance.commands.formats import run
from appliance.video.formats import FORMATS

KEYS = ["name", "samples", "lines", "line_total", "line_rate", "field_rate", "modeline", "pixel_aspect", "systems"]


def test_json_of_the_first_format(capsys: pytest.CaptureFixture[str]) -> None:
    """240p is printed with every figure, exact as text (rates computed from ITU-R BT.601-7's 13.5 MHz)."""
    assert run(json=True) == 0
    first = loads(capsys.readouterr().out)[0]
    assert list(first) == KEYS
    assert first == {
        "name": "240p",
        "samples": 720,
        "lines": 240,
        "line_total": "262",
        "line_rate": "2250000/143",
        "field_rate": "1125000/18733",
        "modeline": {
            "clock": 13500,
            "hdisplay": 720,
            "hsync_start": 734,
            "hsync_end": 798,
            "htotal": 858,
            "vdisplay": 240,
            "vsync_start": 243,
            "vsync_end": 246,
            "vtotal": 262,
            "flags": [],
        },
        "pixel_aspect": "2160/4739",
        "systems": ["NTSC", "NTSC-J", "PAL-M", "PAL-60", "mono"],
    }


def test_json_hangs_together(capsys: pytest.CaptureFixture[str]) -> None:
    """For each format the printed modeline comes to the printed rates and totals, by its own arithmetic."""
    run(json=True)
    formats = loads(capsys.readouterr().out)
    assert [entry["name"] for entry in formats] == ["240p", "480i", "288p", "576i"]
    assert [entry["modeline"]["flags"] for entry in formats] == [[], ["interlace"], [], ["interlace"]]
    for entry in formats:
        line = entry["modeline"]
        total = Fraction(line["vtotal"], 1 + len(line["flags"]))
        assert Fraction(entry["line_total"]) == total
        assert Fraction(entry["line_rate"]) == Fraction(line["clock"] * 1000, line["htotal"])
        assert Fraction(entry["field_rate"]) == Fraction(entry["line_rate"]) / total
        assert (entry["samples"], entry["lines"]) == (line["hdisplay"], line["vdisplay"])


def test_table(capsys: pytest.CaptureFixture[str]) -> None:
    """The table has a row for each format, its exact and rounded rate, its systems, and its modeline below."""
    assert run(json=False) == 0
    printed = capsys.readouterr().out
    rows = printed.splitlines()
    for name, fmt in FORMATS.items():
        row, modeline = (line for line in rows if line.startswith(name))
        assert f"{fmt.field_rate}" in row
        assert row.endswith(", ".join(fmt.systems))
        assert modeline.split()[1:10] == fmt.modeline.text().split()[:9]
    assert "60000/1001 = 59.94006" in printed
    assert all(line == line.rstrip() for line in rows)
