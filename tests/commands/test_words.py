"""The command line's own words, from ``main`` to what is written."""

import json
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from appliance import __version__
from appliance.cli import main
from appliance.patterns.catalogue import find_pattern
from appliance.video.formats import find_format


def test_patterns_json(capsys: pytest.CaptureFixture[str]) -> None:
    """A list of objects with exactly the promised names, of the promised kinds."""
    assert main(["patterns", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)
    kinds = {"key": str, "family": str, "title": str, "variants": list, "moving": bool, "timed": bool, "shows": str}
    assert all({name: type(value) for name, value in row.items()} == kinds for row in rows)
    first = {"white", "red", "green", "blue", "cyan", "magenta", "yellow", "black", "grey", "crosshatch", "dots"}
    assert first | {"moving-crosshatch", "bars", "rgb-steps"} <= {row["key"] for row in rows}
    assert all(row["variants"] and all(isinstance(name, str) for name in row["variants"]) for row in rows)


def test_formats_json(capsys: pytest.CaptureFixture[str]) -> None:
    """Exact fractions as text; modelines of a clock in kHz, eight timings and flags."""
    assert main(["formats", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)
    names = {"name", "samples", "lines", "line_total", "line_rate", "field_rate", "modeline", "pixel_aspect", "systems"}
    assert all(set(row) == names for row in rows)
    # BT.601-7 and BT.1700: 525 and 625 lines in two fields; the progressive ones take the whole lines of a field.
    assert {row["name"]: row["line_total"] for row in rows} == {
        "240p": "262", "480i": "525/2", "288p": "312", "576i": "625/2",
    }  # fmt: skip
    assert {row["name"]: Fraction(row["line_rate"]) for row in rows}["480i"] == Fraction(2_250_000, 143)
    assert all(len(row["modeline"]) == 10 and row["modeline"]["clock"] == 13500 for row in rows)


@pytest.mark.parametrize("name", ["240p", "480i", "288p", "576i"])
@pytest.mark.parametrize(
    ("pattern", "field"), [("bars:75/0/75/0", 0), ("moving-crosshatch:across", 37), ("rgb-steps", 5)]
)
def test_raw_is_the_frame_bit_for_bit(name: str, pattern: str, field: int, tmp_path: Path) -> None:
    """Little-endian words of exactly the active samples × lines, of the field asked for."""
    out = tmp_path / "frame.raw"
    assert main(["draw", pattern, "--format", name, "--field", str(field), "--raw", "-o", str(out)]) == 0
    fmt = find_format(name)
    entry, variant = find_pattern(pattern)
    words = np.fromfile(out, "<u4").reshape(fmt.lines, fmt.samples)
    assert (words == entry.draw(fmt, variant).field(field, fmt.lines, fmt.samples)).all()
    assert not (words >> 24).any()


def test_png_and_raw_say_the_same(tmp_path: Path) -> None:
    """Red, green and blue of each sample, in both files."""
    for flag, name in (([], "a.png"), (["--raw"], "a.raw")):
        assert main(["draw", "bars", "--format", "288p", *flag, "-o", str(tmp_path / name)]) == 0
    words = np.fromfile(tmp_path / "a.raw", "<u4").reshape(288, 720)
    with Image.open(tmp_path / "a.png") as image:
        assert image.size == (720, 288)
        seen = np.asarray(image.convert("RGB")).astype(np.uint32)
    assert (seen[..., 0] << 16 | seen[..., 1] << 8 | seen[..., 2] == words).all()


def test_version_and_help(capsys: pytest.CaptureFixture[str]) -> None:
    """Both are told on standard output, and are no mistake; every command has its line."""
    for word in ("--version", "--help"):
        with pytest.raises(SystemExit, match=r"^0$"):
            main([word])
    out, err = capsys.readouterr()
    assert out.startswith(f"fieldmouse {__version__}")
    assert all(f"    {name} " in out for name in ("run", "window", "rehearse", "patterns", "formats", "draw", "check"))
    assert not err
