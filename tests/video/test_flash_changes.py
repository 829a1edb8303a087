"""Changes of light and of saturated red, place by place, against the definitions and a general colour library."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from appliance.video.flash_cells import Cells, field_light, tube_light
from appliance.video.flash_changes import LightChanges, RedChanges, chromaticity, saturated_red
from appliance.video.formats import FORMATS
from tests.video.reference import colour_science

COLOUR = colour_science()  # loaded once, it takes a second

CODES = st.tuples(*[st.integers(0, 255)] * 3)
RED, BLACK = (1.0, 0.0, 0.0), (0.0, 0.0, 0.0)


def place(*values: float) -> Cells:
    """One place: its light, or its three linear guns."""
    return np.array(values, float).reshape((-1, 1, 1) if len(values) == 3 else (1, 1))


def light_changes(trace: list[float]) -> list[int]:
    """At which entries of a trace of light a change is complete, the first being the start."""
    changes = LightChanges(place(trace[0]))
    return [n for n, value in enumerate(trace[1:], 1) if any(way.item() for way in changes.feed(place(value)))]


@pytest.mark.parametrize(
    ("trace", "changes"),
    [
        ([0, 1, 0, 1], [1, 2, 3]),
        ([0, 0.1, 0], [1, 2]),  # WCAG 2.2: a tenth of white counts; BT.1702-3: 20 cd/m² of 200
        ([0, 0.0999, 0], []),
        ([1, 0.799, 1], [1, 2]),  # the darker below 0.80 counts; BT.1702-3: below 160 cd/m²
        ([1, 0.8, 1], []),
        ([0, 0.3, 0.6, 0.9, 0.6], [1, 4]),  # going on the same way is one change
        ([0, 0.05, 0.1, 0.15], [2]),  # a slow rise counts where it has come to a tenth
        ([0.5, 0.55, 0.5, 0.55], []),
        ([0.5, 0.55, 0.46, 0.55], []),  # 0.09 from either turning point
        ([0.5, 0.55, 0.45, 0.55], [2, 3]),
        ([0, 1, 0.95, 1, 0.95, 0], [1, 5]),  # ripples on the way are no change
    ],
)
def test_light_changes(trace: list[float], changes: list[int]) -> None:
    """A change is an opposing step of a tenth of white from the turning point, its darker state below 0.8."""
    assert light_changes(trace) == changes


@given(st.lists(st.sampled_from([0, 0.04, 0.3, 0.79, 0.81, 0.85, 1]), min_size=2, max_size=30))
def test_light_changes_against_a_plain_reckoning(trace: list[float]) -> None:
    """The same changes as from keeping, in a list, all values since the last change and looking for a pair."""
    found, since, way = [], [trace[0]], 0
    for number, now in enumerate(trace[1:], 1):
        since.append(now)
        up = way <= 0 and any(now - old >= 0.1 and old < 0.8 for old in since)
        down = way >= 0 and any(old - now >= 0.1 and now < 0.8 for old in since)
        if up or down:
            found.append(number)
            since, way = [now], 1 if up else -1
    assert light_changes(trace) == found


def red_changes(trace: list[tuple[float, float, float]]) -> list[int]:
    """As ``light_changes``, for linear guns."""
    changes = RedChanges(place(*trace[0]))
    return [n for n, guns in enumerate(trace[1:], 1) if any(way.item() for way in changes.feed(place(*guns)))]


@pytest.mark.parametrize(
    ("name", "guns", "distance"),
    [
        ("white", (1, 1, 1), 0.259),
        ("green", (0, 1, 0), 0.328),
        ("blue", (0, 0, 1), 0.457),
        ("yellow", (1, 1, 0), 0.249),
        ("magenta", (1, 0, 1), 0.242),
        ("cyan", (0, 1, 1), 0.320),
    ],
)
def test_distance_from_red(name: str, guns: tuple[float, float, float], distance: float) -> None:
    """Every full colour is further from pure red than WCAG's 0.2 in u′, v′, so going to and fro counts."""
    away = np.hypot(*(chromaticity(place(*guns)) - chromaticity(place(*RED)))).item()
    assert away == pytest.approx(distance, abs=5e-4)
    assert red_changes([RED, guns, RED, guns]) == [1, 2, 3], name


def test_primaries_in_turn() -> None:
    """Red, green, blue and again: into red and out of it once a round."""
    assert red_changes([RED, (0, 1, 0), (0, 0, 1), RED, (0, 1, 0), (0, 0, 1), RED]) == [1, 3, 4, 6]


def test_red_counts_however_dim() -> None:
    """Red of a hundredth of the light counts as much against black; below a tenth of a cd/m² there is no colour."""
    assert red_changes([(0.01, 0, 0), BLACK, (0.01, 0, 0)]) == [1, 2]
    assert red_changes([(0.002, 0, 0), BLACK, (0.002, 0, 0)]) == []


def test_red_fading_slowly_to_white_and_back() -> None:
    """A fade counts once, where it has gone further than 0.2, and the way back once."""
    fade = [(1.0, n / 10, n / 10) for n in range(11)]
    assert len(red_changes(fade)) == 1
    assert len(red_changes([*fade, *fade[::-1]])) == 2


def test_shades_of_red_do_not_count() -> None:
    """Between a pure red and one with a little green or blue there are less than 0.2."""
    assert red_changes([RED, (1, 0.1, 0), (1, 0, 0.1), RED]) == []


@pytest.mark.parametrize("start", [[(0, 1, 0), RED, (1, 0.6, 0.6)], [RED, (0, 1, 0)]])
def test_only_the_state_before_matters(start: list[tuple[float, float, float]]) -> None:
    """Each change is measured from the states since the one before it, not from an older one further away.

    A light red (1, .6, .6) is 0.23 from pure red and 0.12 from a red at (1, .12, .12).
    """
    changes = list(range(1, len(start)))
    assert red_changes(start) == changes
    rest = [(1, 0.12, 0.12)] if len(start) == 3 else [(1, 0.12, 0.12), (1, 0.6, 0.6)]
    assert red_changes([*start, *rest]) == changes + [len(start)] * (len(rest) - 1)


@given(CODES, CODES)
def test_red_change_agrees_with_the_library(one: tuple[int, int, int], other: tuple[int, int, int]) -> None:
    """Two colours in turn change to and from red where WCAG 2.2 says so, u′, v′ and sRGB by colour-science."""
    guns = [COLOUR.models.eotf_sRGB(np.array(codes) / 255) for codes in (one, other)]
    xyz = [COLOUR.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ @ light for light in guns]
    assume(all(value[1] > 0.001 for value in xyz))
    shares = [light[0] / light.sum() for light in guns]
    away = np.linalg.norm(np.subtract(*(COLOUR.xy_to_Luv_uv(COLOUR.XYZ_to_xy(v)) for v in xyz)))
    assume(all(abs(share - 0.8) > 1e-3 for share in shares))
    assume(abs(away - 0.2) > 2e-3)
    counts = sum(share >= 0.8 for share in shares) == 1 and away > 0.2
    assert red_changes([tuple(guns[0]), tuple(guns[1])]) == ([1] if counts else [])


def test_black_is_not_red() -> None:
    """Black has no share of anything."""
    assert not saturated_red(place(*BLACK)).item()


def test_cells_average_light_and_not_codes() -> None:
    """Half the samples white give half the light, whatever the fineness, in all formats (BT.1886; sRGB of WCAG)."""
    for fmt in FORMATS.values():
        frame = np.zeros((fmt.lines, fmt.samples), np.uint32)
        frame[:, ::2] = 0xFFFFFF
        cells = field_light(fmt, frame, 1)
        assert cells.tube.shape == (96 if fmt.lines % 288 == 0 else 80, 120)
        assert cells.tube == pytest.approx(np.full(cells.tube.shape, 0.5))
        assert cells.monitor == pytest.approx(np.full(cells.tube.shape, 0.5))


def test_field_of_an_interlaced_frame() -> None:
    """Field 0 holds the even rows of the frame and field 1 the odd ones; a progressive field holds all."""
    frame = np.zeros((480, 720), np.uint32)
    frame[::2] = 0xFFFFFF
    assert [field_light(FORMATS["480i"], frame, field).tube.mean() for field in (0, 1, 2)] == pytest.approx([1, 0, 1])
    assert field_light(FORMATS["240p"], frame[:240], 1).tube.mean() == pytest.approx(0.5)


def test_light_of_samples() -> None:
    """Full light of single samples: the library's BT.1886 and its luminance of the line system's primaries."""
    frame = np.zeros((240, 720), np.uint32)
    frame[0, :3] = [0xFFFFFF, 0x00FF00, 0x808080]
    green = COLOUR.RGB_COLOURSPACES["SMPTE C"].matrix_RGB_to_XYZ[1][1]
    grey = COLOUR.models.eotf_BT1886(128 / 255, L_B=0, L_W=1)
    assert tube_light(FORMATS["240p"], frame)[0, :4] == pytest.approx([1, float(green), float(grey), 0], abs=1e-3)


def test_wrong_size() -> None:
    """A frame of another format is the caller's mistake and named."""
    with pytest.raises(ValueError, match=r"\(480, 720\) is not 240p"):
        field_light(FORMATS["240p"], np.zeros((480, 720), np.uint32), 0)
