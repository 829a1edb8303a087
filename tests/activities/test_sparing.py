"""A picture that stands long is spared the tube: dimmed, or its words taken away, until a key is pressed."""

import pytest

from appliance.activities.stepping import Stepping
from appliance.patterns.catalogue import catalogue
from appliance.patterns.registry import SPARED
from tests.activities.invented import short


def standing(key: str, variant: str) -> Stepping:
    """A picture of the shipped catalogue, come to at 0."""
    stepping = Stepping(list(catalogue().values()), caption_time=4)
    stepping.show(key, variant, 0.0)
    return stepping


def up(stepping: Stepping) -> tuple[str, str]:
    """Variant and words shown."""
    showing = stepping.showing()
    return showing.variant, showing.caption.text if showing.caption else ""


def test_a_standing_crosshatch_goes_to_half_after_ten_minutes() -> None:
    """It says so, is the same pattern and variant to all who ask, and then nothing more is due."""
    stepping = standing("crosshatch", "white")
    stepping.tick(599)
    assert up(stepping) == ("white", "")
    stepping.tick(600)
    assert up(stepping)[0] == "white" + SPARED
    assert "spare the tube" in up(stepping)[1]
    assert stepping.variant == "white"
    stepping.tick(604)
    assert stepping.due() is None


@pytest.mark.parametrize(("key", "variant"), [("note", "white"), ("vary", "fine")])
def test_a_key_brings_the_light_back(key: str, variant: str) -> None:
    """``note`` shows the same picture bright again, ``vary`` the next; each may stand as long as before."""
    stepping = standing("crosshatch", "white")
    stepping.tick(700)
    stepping.press(short(key, 701))
    assert up(stepping)[0] == variant
    stepping.tick(1300)
    assert up(stepping)[0] == variant
    stepping.tick(1301)
    assert up(stepping)[0] == variant + SPARED


def test_a_bright_picture_goes_down_twice() -> None:
    """After a minute to the dimmer variant, and ten later that to half."""
    stepping = standing("crosshatch", "inverse")
    stepping.tick(60)
    assert up(stepping)[0] == "white"
    stepping.tick(660)
    assert up(stepping)[0] == "white" + SPARED


def test_words_within_a_picture_go_after_a_minute() -> None:
    """Without a word about it."""
    stepping = standing("hum", "told")
    stepping.tick(60)
    assert up(stepping) == ("plain", "")
    assert stepping.due() is None


def test_an_even_grey_stands_as_long_as_a_set_warms_up() -> None:
    """Tint is watched on it for half an hour and more."""
    stepping = standing("grey", "50")
    stepping.tick(3600)
    assert up(stepping) == ("50", "")


def test_what_moves_moves_at_full_light() -> None:
    """Standing it was spared; started it is bright, and is never spared while it moves."""
    stepping = standing("moving-block", "white-on-black")
    stepping.tick(700)
    assert up(stepping)[0].endswith(SPARED)
    stepping.press(short("go", 701))
    stepping.tick(9999)
    assert up(stepping) == ("white-on-black", "")
    assert stepping.showing().moving


def test_coloured_lines_say_what_to_judge_by() -> None:
    """On arrival at the variant, and on asking."""
    stepping = standing("crosshatch", "red")
    assert "Judge by the horizontals" in up(stepping)[1]
    stepping.tick(5)
    stepping.press(short("note", 6))
    assert "Judge by the horizontals" in up(stepping)[1]
