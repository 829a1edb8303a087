"""Words in pictures: within the title-safe area, the scales' numbers alone excepted."""

import numpy as np
import pytest

from appliance import lettering
from appliance.video.formats import FORMATS
from tests.patterns.measure import drawn

LETTERED = [("multiburst", "numbered", "plain"), ("sweep", "numbered", "plain"), ("hum", "told", "plain")]


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize(("key", "lettered", "plain"), LETTERED)
def test_words_lie_in_the_title_area(key: str, lettered: str, plain: str, name: str) -> None:
    """What is as grey as letters and was not there before lies within 80 % of width and height (common practice)."""
    fmt = FORMATS[name]
    left, top, right, bottom = lettering.safe_area(fmt)
    with_words, without = drawn(key, lettered, name), drawn(key, plain, name)
    rows, samples = np.nonzero((with_words == 0xBFBFBF) & (without != 0xBFBFBF))
    assert len(rows)
    assert top <= rows.min()
    assert rows.max() < bottom
    assert left <= samples.min()
    assert samples.max() < right


@pytest.mark.parametrize("name", FORMATS)
def test_wedge_numbers_lie_in_the_title_area(name: str) -> None:
    """As above, by the band of the picture that has numbers alone."""
    fmt = FORMATS[name]
    _, top, right, bottom = lettering.safe_area(fmt)
    numbers = drawn("wedges", "plain", name)[:, 425:515]
    rows, samples = np.nonzero(numbers)
    assert top <= rows.min()
    assert rows.max() < bottom
    assert samples.max() + 425 < right
