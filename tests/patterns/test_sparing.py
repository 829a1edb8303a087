"""How long each picture may stand on a tube, and what comes then.

Limits of makers and manuals are hours a week for still pictures; a minute for full level and ten for the rest are
ours (common practice, no source).
"""

from itertools import pairwise

import numpy as np
import pytest

from appliance.errors import Refused
from appliance.patterns.average import average_level
from appliance.patterns.catalogue import catalogue, find_pattern
from appliance.patterns.registry import SPARED, STANDS
from appliance.video.formats import FORMATS
from tests.patterns.measure import drawn

FMT = FORMATS["240p"]
PICTURES = [(key, variant) for key, entry in catalogue().items() for variant in entry.variants]


def way(key: str, variant: str) -> list[tuple[str, float]]:
    """The variants that stand one after the other, each with its seconds; the last stands for ever."""
    stands: list[tuple[str, float]] = []
    while sparing := catalogue()[key].sparing(variant):
        stands.append((variant, sparing.after))
        variant = sparing.by
    return [*stands, (variant, float("inf"))]


@pytest.mark.parametrize(("key", "variant"), PICTURES)
def test_nothing_with_edges_stands_for_ever_as_it_is(key: str, variant: str) -> None:
    """What is left in the end is even all over, or at half its signal; and it was there within two times the limit."""
    stands = way(key, variant)
    last = stands[-1][0]
    frame = find_pattern(f"{key}:{last}")[0].draw(FMT, last).frame
    assert (frame == frame[0, 0]).all() or last.endswith(SPARED)
    assert sum(after for _, after in stands[:-1]) <= 2 * STANDS


@pytest.mark.parametrize(("key", "variant"), PICTURES)
def test_each_step_is_darker_or_has_fewer_words(key: str, variant: str) -> None:
    """Mean light never rises; of an even grey with words on a dark plate it is the plate that goes."""
    for (before, _), (after, _) in pairwise(way(key, variant)):
        levels = [
            average_level(FMT, find_pattern(f"{key}:{name}")[0].draw(FMT, name)).light for name in (before, after)
        ]
        assert levels[1] <= levels[0] or key == "hum", (before, after)


def test_words_of_the_box_go_after_a_minute() -> None:
    """The two pictures that carry sentences of ours lose them; what is left is the picture without."""
    for key in ("hum", "lead"):
        sparing = catalogue()[key].sparing("told")
        assert sparing == (60, "plain")


@pytest.mark.parametrize("name", FORMATS)
def test_spared_is_half_the_signal(name: str) -> None:
    """Every gun's code halved, in every frame of the picture; about a fifth of the light (BT.1886: 0.5 ** 2.4)."""
    fmt = FORMATS[name]
    entry, variant = find_pattern("bars:100/0/100/0" + SPARED)
    frame, full = entry.draw(fmt, variant).frame, drawn("bars", "100/0/100/0", name)
    for shift in (16, 8, 0):
        assert (frame >> shift & 255 == (full >> shift & 255) // 2).all()
    assert not (frame >> 24).any()
    assert entry.sparing(variant) is None
    light = (
        average_level(fmt, entry.draw(fmt, variant)).light
        / average_level(fmt, catalogue()["bars"].draw(fmt, "100/0/100/0")).light
    )
    assert light == pytest.approx(0.5**2.4, rel=0.05)


def test_pictures_in_turn_are_spared_too() -> None:
    """All their frames."""
    entry, variant = find_pattern("load-steps:60" + SPARED)
    assert max(int(np.max(frame & 255)) for frame in entry.draw(FMT, variant).frames) == 127


def test_only_real_variants_are_spared() -> None:
    """The name must be one of the pattern's before the ending."""
    with pytest.raises(Refused, match="unknown"):
        find_pattern("bars:nonsense" + SPARED)
