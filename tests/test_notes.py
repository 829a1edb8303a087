"""The notes on the hardware against the program they speak of."""

import re
from pathlib import Path

from appliance.activities.troubles import Trouble

NOTES = Path(__file__).parent.parent / "hardware_notes"


def test_every_count_of_the_attention_lamp_is_listed() -> None:
    """Each trouble's count has a row, in order, and black that is meant has one that names both of its causes."""
    rows = re.findall(
        r"^\| ([^|]+) \| ([^|]+) \| [^|]+ \|$", (NOTES / "lamp-codes.md").read_text("utf-8"), re.MULTILINE
    )
    assert [int(flashes) for flashes, _ in rows if flashes.isdigit()] == list(Trouble)
    (black,) = (what for flashes, what in rows if flashes == "a second lit, a second dark, over a black screen")
    assert "black is meant" in black
    assert "the box is shutting down" in black


def test_no_code_of_the_attention_lamp_is_listed_twice() -> None:
    """Each code has one row, in whatever words its times are put; only heat is said to make a soak go dim."""
    rows = re.findall(
        r"^\| ([^|]+) \| ([^|]+) \| [^|]+ \|$", (NOTES / "lamp-codes.md").read_text("utf-8"), re.MULTILINE
    )
    codes = [flashes.replace(" a second", "") for flashes, _ in rows]
    assert len(codes) == len(set(codes)), codes
    (health,) = (what for flashes, what in rows if flashes == str(int(Trouble.HEALTH)))
    assert "Too hot, and that alone, makes a soak go dim: it waits so until `go`" in health
