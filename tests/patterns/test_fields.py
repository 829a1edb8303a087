"""Flat fields."""

import pytest

from appliance.patterns.fields import hum_words
from appliance.video.formats import FORMATS
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


@pytest.mark.parametrize(
    ("variant", "left", "right"),
    [
        ("red-cyan", 0xBF0000, 0x00BFBF),
        ("green-magenta", 0x00BF00, 0xBF00BF),
        ("blue-yellow", 0x0000BF, 0xBFBF00),
    ],
)
def test_halves_light_every_gun_once(variant: str, left: int, right: int) -> None:
    """A gun at the left, the two others at the right, at 75 %; the joint in the middle of the line."""
    frame = drawn("halves", variant, "576i")
    assert (frame[:, :350] == left).all()
    assert (frame[:, 370:] == right).all()


@pytest.mark.parametrize(
    ("name", "mains", "words"),
    [
        ("480i", 60, "17 s"),
        ("240p", 60, "18 s"),
        ("288p", 50, "12 s"),
        ("576i", 50, "stands still"),
        ("240p", 50, "10 bars"),
        ("576i", 60, "10 bars"),
    ],
)
def test_hum_bars_drift_at_the_difference_of_rates(name: str, mains: int, words: str) -> None:
    """59.94 Hz on 60: a bar in 17 s; 60.05: 18 s; 50.08 on 50: 12.5 s; the other mains 10 a second (worked out)."""
    assert words in hum_words(FORMATS[name], mains)
    assert len(hum_words(FORMATS[name], mains)) <= 28


@pytest.mark.parametrize("name", FORMATS)
def test_hum_grey_is_even_beside_the_words(name: str) -> None:
    """40 % of the signal above the words, and all over without them."""
    assert (drawn("hum", "plain", name) == 0x666666).all()
    assert (drawn("hum", "told", name)[: FORMATS[name].lines // 2] == 0x666666).all()
