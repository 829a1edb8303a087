"""The catalogue, and what every pattern of it must keep."""

import numpy as np
import pytest

from appliance import lettering
from appliance.errors import Refused
from appliance.patterns.catalogue import catalogue, find_pattern
from appliance.patterns.picture import Picture, Way
from appliance.patterns.registry import CAPTION_WIDTH, pattern
from appliance.video.formats import FORMATS
from tests.patterns.measure import EVERY, drawn

FIRST = [
    "white", "red", "green", "blue", "cyan", "magenta", "yellow", "black", "grey",
    "crosshatch", "moving-crosshatch", "dots", "rgb-steps", "bars",
]  # fmt: skip


@pytest.mark.parametrize(("key", "variant", "name"), EVERY)
def test_every_picture_fills_its_frame(key: str, variant: str, name: str) -> None:
    """XRGB words, the unused byte 0, in one contiguous block at least as large as the format, the same each time."""
    fmt = FORMATS[name]
    picture = catalogue()[key].draw(fmt, variant)
    frame = picture.frame
    assert frame.dtype == np.uint32
    assert frame.flags.c_contiguous
    assert not (frame >> 24).any()
    assert picture.field(0, fmt.lines, fmt.samples).shape == (fmt.lines, fmt.samples)
    assert picture.way is not None or frame.shape == (fmt.lines, fmt.samples)
    assert (catalogue()[key].draw(fmt, variant).frame == frame).all()


@pytest.mark.parametrize("key", [key for key, entry in catalogue().items() if entry.family != "sound"])
def test_every_variant_looks_different(key: str) -> None:
    """No two variants of a pattern give the same fields; those of a sound are told apart by ear."""
    fields = {
        drawn(key, variant, "240p", field=5).tobytes() + drawn(key, variant, "240p", field=122).tobytes()
        for variant in catalogue()[key].variants
    }
    assert len(fields) == len(catalogue()[key].variants)


@pytest.mark.parametrize("key", catalogue())
def test_words_fit_a_caption(key: str) -> None:
    """Title, what to look for and caution each fit a caption's line, and are there."""
    entry = catalogue()[key]
    assert entry.title
    assert entry.shows
    assert all(0 < len(line) <= CAPTION_WIDTH for line in (entry.title, entry.shows, *entry.caution))
    assert len(entry.caution) <= 2
    for fmt in FORMATS.values():
        assert all(lettering.fits([line], fmt) for line in (entry.title, entry.shows, *entry.caution))


@pytest.mark.parametrize("key", catalogue())
def test_what_moves_says_so(key: str) -> None:
    """A pattern is marked as moving when its window or its frames do; what eyes need a caution for is in test_eyes."""
    entry = catalogue()[key]
    pictures = [entry.draw(FORMATS["240p"], variant) for variant in entry.variants]
    assert all(entry.moving == (picture.way is not None or picture.turns is not None) for picture in pictures)


@pytest.mark.parametrize("name", ["240p", "288p"])
def test_no_still_picture_at_full_level_is_without_a_rest(name: str) -> None:
    """Nine tenths of the frame at full signal of a gun: then it is bright, rests, and the rest is dimmer."""
    for key, entry in catalogue().items():
        for variant in entry.variants:
            frame = drawn(key, variant, name)
            if max(np.count_nonzero(frame & gun == gun) for gun in (0xFF0000, 0xFF00, 0xFF)) > 0.9 * frame.size:
                assert variant in entry.bright, (key, variant)
                assert entry.rest == 60
                assert entry.dimmed not in entry.bright


def test_first_patterns_are_in_the_order_of_looking() -> None:
    """The keys that the box has from the start, in their order of stepping."""
    assert [key for key in catalogue() if key in FIRST] == FIRST


def test_catalogue_is_the_callers_own() -> None:
    """Emptying the copy empties nobody else's."""
    catalogue().clear()
    assert catalogue()


def test_pattern_is_found_with_and_without_variant() -> None:
    """The first variant is the usual one, and slashes in a variant are kept."""
    assert find_pattern("white")[1] == "100"
    assert find_pattern("bars:75/0/75/0")[1] == "75/0/75/0"


@pytest.mark.parametrize(
    ("name", "word", "right"),
    [
        ("", "''", "unknown; `fieldmouse patterns` lists all"),
        ("wite", "'wite'", "did you mean white?"),
        ("Crosshatched:white", "'Crosshatched'", "did you mean crosshatch?"),
        ("white:101", "'101'", "there are 100"),
    ],
)
def test_unknown_names_are_refused_with_what_would_be_right(name: str, word: str, right: str) -> None:
    """The message has the wrong word, the nearest pattern and where all are listed, or the pattern's variants."""
    with pytest.raises(Refused, match=word) as refused:
        find_pattern(name)
    assert right in str(refused.value)
    assert len(str(refused.value)) < 150


def test_a_bare_colon_asks_for_the_usual_variant() -> None:
    """As no colon does."""
    assert find_pattern("dots:")[1] == "white"


@pytest.mark.parametrize(
    ("changes", "complaint"),
    [
        ({"key": "white"}, "registered twice"),
        ({"title": "x" * 29}, "longer"),
        ({"shows": "x" * 29}, "longer"),
        ({"caution": ("fits", "x" * 29)}, "longer"),
        ({"bright": frozenset({"stranger"})}, "no variant stranger"),
        ({"dimmed": "stranger"}, "no variant stranger"),
    ],
)
def test_a_wrong_entry_does_not_get_in(changes: dict[str, object], complaint: str) -> None:
    """A programmer's slip is told when the family is imported, not on the screen of a set."""
    entry = {"key": "wrong", "family": "fields", "title": "Wrong", "shows": "Nothing", **changes}
    register = pattern(**entry)  # type: ignore[arg-type] # the columns by name
    with pytest.raises(ValueError, match=complaint):
        register(lambda fmt, _: Picture(np.zeros((fmt.lines, fmt.samples), np.uint32)))
    assert "wrong" not in catalogue()


def test_window_wraps_at_whole_periods() -> None:
    """Also when it goes backwards: corners are never negative."""
    way = Way(dx=-2, dy=3, period_x=68, period_y=31)
    assert [way.at(field) for field in (0, 1, 34, 31)] == [(0, 0), (66, 3), (0, 9), (6, 0)]
