"""Signal values to words."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from appliance.drawing.colours import BLACK, BLUE, GREEN, RED, WHITE, at_level, between, blend, pack, word

SIGNAL = st.floats(0, 1)


def test_primaries_lie_where_xrgb_has_them() -> None:
    """XRGB8888 of the kernel's drm_fourcc.h: [31:0] x:R:G:B 8:8:8:8."""
    assert [word(colour) for colour in (RED, GREEN, BLUE, WHITE, BLACK)] == [0xFF0000, 0xFF00, 0xFF, 0xFFFFFF, 0]


def test_level_is_of_signal() -> None:
    """Half the signal is half the code, to the nearest: no gamma comes in."""
    assert word(at_level(WHITE, 0.5)) == 0x808080
    assert word(at_level(RED, 0.75)) == 0xBF0000


@given(st.tuples(SIGNAL, SIGNAL, SIGNAL))
def test_word_is_the_nearest_code(colour: tuple[float, float, float]) -> None:
    """No channel is off by more than half a code."""
    value = word(colour)
    codes = np.array([value >> 16, value >> 8 & 255, value & 255])
    assert np.abs(codes - np.array(colour) * 255).max() <= 0.5 + 1e-9


def test_signal_beyond_the_codes_is_clipped() -> None:
    """Undershoot stays black and overshoot white instead of wrapping round."""
    assert pack(np.array([[-0.2, 1.2, 0.5]])).tolist() == [0x00FF80]


def test_between_runs_evenly() -> None:
    """From black to white the 256 steps are the 256 codes."""
    assert (between(BLACK, WHITE) & 255).tolist() == list(range(256))


@given(st.lists(SIGNAL, min_size=1, max_size=8))
def test_blend_of_black_and_white_is_the_nearest_code(shares: list[float]) -> None:
    """Coverage is signal, and the table of 256 steps loses nothing against rounding."""
    codes = blend(np.array(shares), BLACK, WHITE) & 255
    assert np.abs(codes - np.array(shares) * 255).max() <= 0.5 + 1e-9
