"""Flat fields."""

import pytest

from tests.patterns.measure import drawn

GUNS = {
    "white": 0xFFFFFF, "red": 0xFF0000, "green": 0x00FF00, "blue": 0x0000FF,
    "cyan": 0x00FFFF, "magenta": 0xFF00FF, "yellow": 0xFFFF00, "grey": 0xFFFFFF,
}  # fmt: skip


@pytest.mark.parametrize("key", GUNS)
@pytest.mark.parametrize(("variant", "code"), [("75", 0xBF), ("50", 0x80), ("25", 0x40), ("10", 0x1A)])
def test_level_is_percent_of_signal(key: str, variant: str, code: int) -> None:
    """Code 255 is 100 % of the signal; each gun that is lit has the nearest code of the level, all over the frame."""
    wanted = GUNS[key] & (code * 0x010101)
    assert (drawn(key, variant, "576i") == wanted).all()


@pytest.mark.parametrize("key", [key for key in GUNS if key != "grey"])
def test_full_field_is_full(key: str) -> None:
    """The lit guns are at code 255, the others at 0."""
    assert (drawn(key, "100", "240p") == GUNS[key]).all()


def test_black_is_black() -> None:
    """No gun is lit anywhere."""
    assert not drawn("black", "0", "480i").any()
