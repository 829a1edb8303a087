"""RGB steps."""

import numpy as np
import pytest

from appliance.video.formats import FORMATS
from tests.patterns.measure import drawn, signal


def treads(variant: str, name: str) -> np.ndarray:
    """``[4 bands, 11 treads, 3]``: signal in the middle of each eleventh of the exact picture."""
    fmt = FORMATS[name]
    width = float(fmt.line_system.active_samples)
    middles = (360 - width / 2 + (np.arange(11) + 0.5) * width / 11).astype(int)
    bands = (np.arange(4) * 2 + 1) * fmt.lines // 8
    return signal(drawn("rgb-steps", variant, name))[bands][:, middles]


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize(("variant", "top"), [("full", 1.0), ("near-black", 0.1)])
def test_ten_equal_steps_in_four_bands(name: str, variant: str, top: float) -> None:
    """Black and ten treads of a tenth of the top each, to the nearest code: red, green, blue, white downwards."""
    guns = np.array([(1, 0, 0), (0, 1, 0), (0, 0, 1), (1, 1, 1)])
    wanted = guns[:, None, :] * (np.arange(11) / 10 * top)[:, None]
    assert np.abs(treads(variant, name) - wanted).max() <= 0.51 / 255


@pytest.mark.parametrize("name", FORMATS)
def test_every_step_rises(name: str) -> None:
    """Also near black, where a step is two or three codes, no two treads are the same."""
    white = treads("near-black", name)[3, :, 1]
    assert (np.diff(white) >= 2 / 255 - 1e-9).all()


@pytest.mark.parametrize("name", FORMATS)
def test_bands_are_equally_high(name: str) -> None:
    """A quarter of the rows each."""
    column = signal(drawn("rgb-steps", "full", name))[:, 700]
    changes = np.flatnonzero(np.abs(np.diff(column, axis=0)).any(axis=1)) + 1
    assert changes.tolist() == [FORMATS[name].lines * k // 4 for k in (1, 2, 3)]
