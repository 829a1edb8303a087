"""Flashes counted on constructed sequences just inside and outside each limit of BT.1702-3 and WCAG 2.2."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from appliance.video.flash import FlashCount, count_flashes, parts, whole
from appliance.video.flash_cells import Words
from appliance.video.formats import FORMATS, Format
from tests.video.reference import colour_science

COLOUR = colour_science()  # loaded once, it takes a second

P240, I480, P288, I576 = FORMATS.values()
WHITE, BLACK = 0xFFFFFF, 0x000000

Shown = list[tuple[Words, int]]


def flat(fmt: Format, colour: int = BLACK, lines: slice = slice(None), samples: slice = slice(None)) -> Words:
    """A black frame with ``colour`` in the given rows and samples."""
    frame = np.zeros((fmt.lines, fmt.samples), np.uint32)
    frame[lines, samples] = colour
    return frame


def turns(one: Words, other: Words, fields: list[int]) -> Shown:
    """The two frames in turn, for so many fields each."""
    return [((one, other)[n % 2], count) for n, count in enumerate(fields)]


def grey(code: int) -> int:
    """The XRGB word of a grey."""
    return code * 0x010101


# Fields between changes, so that the seventh comes just within a second of the first, or just not. A second holds the
# beginnings of 61 fields of 240p, 60 of 480i, 51 of 288p and 50 of 576i (computed from the field rates).
SPACINGS = {
    "240p": ([10] * 6, [10] * 5 + [11]),
    "480i": ([10] * 5 + [9], [10] * 6),
    "288p": ([8, 8, 8, 8, 9, 9], [8, 8, 8, 9, 9, 9]),
    "576i": ([8, 8, 8, 8, 8, 9], [8, 8, 8, 8, 9, 9]),
}


@pytest.mark.parametrize("name", SPACINGS)
def test_more_than_three_flashes_in_a_second(name: str) -> None:
    """Seven changes within one second fail; with the seventh a second after the first they are six (SC 2.3.1)."""
    fmt = FORMATS[name]
    within, beyond = (turns(flat(fmt), flat(fmt, WHITE), [40, *gaps, 100]) for gaps in SPACINGS[name])
    counted = count_flashes(fmt, within)
    assert (counted.screen, counted.part, counted.places, counted.fails) == (7, 7, 1, True)
    counted = count_flashes(fmt, beyond)
    assert (counted.screen, counted.part, counted.places, counted.fails, counted.caution) == (6, 6, 0, False, True)


STEADY = [8] * 8


@pytest.mark.parametrize("code", [88, 89, 90, 91, 96, 97, 98, 99])
def test_a_tenth_of_white_from_black(code: int) -> None:
    """A grey flashes against black from 20 of 200 cd/m² (BT.1886) or a tenth of white (sRGB), by colour-science."""
    counted = count_flashes(P240, turns(flat(P240), flat(P240, grey(code)), STEADY))
    assert (counted.screen > 0) == (float(COLOUR.models.eotf_BT1886(code / 255, L_B=0, L_W=200)) >= 20)
    assert (counted.part > 0) == (float(COLOUR.models.eotf_sRGB(code / 255)) >= 0.1)


@pytest.mark.parametrize("code", [229, 230, 231, 232, 233, 234])
def test_darker_state_below_four_fifths(code: int) -> None:
    """White flashes against a light grey only if that is below 160 of 200 cd/m², or 0.8 of white."""
    counted = count_flashes(P240, turns(flat(P240, WHITE), flat(P240, grey(code)), STEADY))
    assert (counted.screen > 0) == (float(COLOUR.models.eotf_BT1886(code / 255, L_B=0, L_W=200)) < 160)
    assert (counted.part > 0) == (float(COLOUR.models.eotf_sRGB(code / 255)) < 0.8)


@pytest.mark.parametrize("fmt", [P240, I480, P288, I576], ids=FORMATS)
def test_a_quarter_of_the_screen(fmt: Format) -> None:
    """Exactly 25 % of the screen may flash by BT.1702, a column of cells more may not; WCAG's parts see both."""
    quarter, more = (flat(fmt, WHITE, samples=slice(width)) for width in (180, 186))
    assert count_flashes(fmt, turns(flat(fmt), quarter, STEADY)).screen == 0
    counted = count_flashes(fmt, turns(flat(fmt), more, STEADY))
    assert (counted.screen, counted.part) == (7, 7)


def test_a_quarter_of_a_part() -> None:
    """In WCAG's 10° of the field, a third by a third of the screen, exactly 25 % may flash and no more."""
    quarter = flat(P240, WHITE, slice(15 * 3), slice(18 * 6))  # 270 of the 40 × 27 cells
    more = flat(P240, WHITE, slice(15 * 3), slice(19 * 6))
    assert count_flashes(P240, turns(flat(P240), quarter, STEADY)).part == 0
    counted = count_flashes(P240, turns(flat(P240), more, STEADY))
    assert (counted.part, counted.screen) == (7, 0)


def test_turned_inside_out() -> None:
    """A pattern that turns inside out flashes, though its average stands still, once each way has its quarter."""
    for width, fails in ((180, False), (186, True)):
        left, right = (flat(P240, WHITE, samples=edge) for edge in (slice(width), slice(720 - width, None)))
        assert (count_flashes(P240, turns(left, right, STEADY)).screen > 6) == fails


def test_fine_patterns_average_out() -> None:
    """A chequer of one sample by one line turned inside out is below a tenth of a degree: WCAG lets it go."""
    chequer = (np.indices((240, 720)).sum(axis=0) % 2 * WHITE).astype(np.uint32)
    counted = count_flashes(P240, turns(chequer, WHITE - chequer, STEADY))
    assert counted == FlashCount(0, 0, 0, 0, Fraction(0))


@pytest.mark.parametrize("other", [0x005000, 0x000050, 0x505000, 0x500050, 0x2A2A2A, BLACK])
def test_saturated_red_however_dim(other: int) -> None:
    """Dim red against any other dim colour counts, though the light changes by less than a tenth (WCAG, BT.1702)."""
    counted = count_flashes(P240, turns(flat(P240, 0x500000), flat(P240, other), STEADY))
    assert (counted.red, counted.screen, counted.part, counted.fails) == (7, 7, 7, True)


def test_dim_colours_without_red() -> None:
    """The same with green and blue is no flash: neither is a saturated red, and the light changes too little."""
    counted = count_flashes(P240, turns(flat(P240, 0x005000), flat(P240, 0x000050), STEADY))
    assert (counted.red, counted.screen, counted.part) == (0, 0, 0)


@pytest.mark.parametrize(("fmt", "rate"), [(I480, 60), (I576, 50)], ids=["480i", "576i"])
def test_one_line_on_one_off_interlaced(fmt: Format, rate: int) -> None:
    """Standing still, it is a white field and a black one in turn: a change each field, and it goes on."""
    counted = count_flashes(fmt, [(flat(fmt, WHITE, slice(None, None, 2)), 10 * rate)])
    assert (counted.screen, counted.part, counted.places, counted.fails) == (rate, rate, 1, True)
    assert float(counted.prolonged) == pytest.approx(10, abs=0.1)


def test_one_line_on_one_off_progressive() -> None:
    """Progressive, every field is the same and nothing flashes."""
    assert count_flashes(P240, [(flat(P240, WHITE, slice(None, None, 2)), 600)]).places == 0


def test_two_lines_on_two_off_interlaced() -> None:
    """Two rows on and two off give each field one line of either: nothing flashes."""
    frame = flat(I480, WHITE, slice(0, None, 4)) | flat(I480, WHITE, slice(1, None, 4))
    assert count_flashes(I480, [(frame, 600)]).places == 0


def test_single_lines_of_an_interlaced_crosshatch() -> None:
    """Lines one row thick flicker each for itself and cover too little to count."""
    counted = count_flashes(I480, [(flat(I480, WHITE, slice(0, None, 40)), 600)])
    assert (counted.screen, counted.part, counted.caution) == (0, 0, False)
    assert counted.places == pytest.approx(12 / 80)


def test_flashing_for_longer_than_five_seconds() -> None:
    """Two flashes a second pass, but for more than five seconds ask for caution (BT.1702-3)."""
    short, long = (turns(flat(P288), flat(P288, WHITE), [13] * changes) for changes in (18, 24))
    assert [count_flashes(P288, shown).caution for shown in (short, long)] == [False, True]
    assert count_flashes(P288, long).screen == 4


def test_states_of_a_second_and_more() -> None:
    """White and black for a second each, for ever, is no flashing at all."""
    counted = count_flashes(I576, turns(flat(I576), flat(I576, WHITE), [50] * 10))
    assert (counted.screen, float(counted.prolonged), counted.caution) == (1, 0, False)


def test_bars_that_move_on() -> None:
    """Under moving bars each place flashes for itself; that alone asks for caution and does not fail."""
    frames = [flat(P240, WHITE) & np.uint32(0) for _ in range(120)]
    for number, frame in enumerate(frames):
        frame[:, (np.arange(720) + 8 * number) // 60 % 2 == 0] = WHITE  # 120 samples a pair, four pairs a second
    counted = count_flashes(P240, [(frame, 1) for frame in frames])
    assert (counted.screen, counted.fails, counted.caution, counted.places) == (0, False, True, 1)


def test_hammered_keys() -> None:
    """White and black stepped twice a second come to two changes; at seven a second they fail."""
    twice = count_flashes(P240, turns(flat(P240), flat(P240, WHITE), [31] * 20))
    assert (twice.screen, float(twice.prolonged)) == (2, 0)
    assert count_flashes(P240, turns(flat(P240), flat(P240, WHITE), [8] * 20)).fails


def test_a_still_may_stand_for_ever() -> None:
    """Stills, flickering ones too, take no longer to count for standing ten million fields."""
    flicker = flat(I480, WHITE, slice(None, None, 2))
    counted = count_flashes(I480, [(flat(I480), 10_000_001), (flicker, 10_000_000), (flat(I480, WHITE), 10_000_000)])
    assert counted.screen == 60
    assert counted.prolonged == pytest.approx(10_000_000 * I480.field_time, abs=1)


RUNS = {
    "flicker between stills": [(0, 5), (2, 125), (1, 3)],
    "flicker from an odd field": [(2, 1), (0, 1), (2, 124), (3, 2)],
    "a rest of a second and less": [(1, 4), (0, 59), (3, 61), (1, 2)],
}


@pytest.mark.parametrize("runs", RUNS.values(), ids=RUNS)
def test_long_stills_are_as_many_fields(runs: list[tuple[int, int]]) -> None:
    """Taking a frame for many fields at once comes to the same as taking it fifteen fields at a time."""
    frames = [flat(I480), flat(I480, WHITE), flat(I480, WHITE, slice(None, None, 2)), flat(I480, 0xC00000)]
    at_once = count_flashes(I480, [(frames[which], fields) for which, fields in runs])
    pieces = [(frames[which], min(15, fields - done)) for which, fields in runs for done in range(0, fields, 15)]
    assert at_once == count_flashes(I480, pieces)


@pytest.mark.parametrize(
    ("before", "flickering", "changes"), [(1, 1, 0), (2, 1, 1), (1, 124, 1), (2, 124, 0), (2, 125, 1)]
)
def test_a_flicker_ends_on_the_field_it_ends_on(before: int, flickering: int, changes: int) -> None:
    """A fifth of the screen flickers, then goes black with a tenth that was white: together they count if both are.

    The flicker is white on even fields of the whole count, and is so at its end or not.
    """
    steady = flat(I480, WHITE, samples=slice(144, 222))
    flicker = steady | flat(I480, WHITE, slice(None, None, 2), slice(144))
    counted = count_flashes(I480, [(steady, before), (flicker, flickering), (flat(I480), 5)])
    assert counted.screen == changes


@given(st.lists(st.tuples(st.sampled_from([0, 60, 128, 255]), st.integers(1, 40)), min_size=2, max_size=12))
@settings(max_examples=10, deadline=None)
def test_against_a_plain_reckoning(runs: list[tuple[int, int]]) -> None:
    """Full fields of grey come to the changes that a plain walk over the list of lights and times finds."""
    times, field, turning, way = [], 0, float(COLOUR.models.eotf_sRGB(runs[0][0] / 255)), 0
    for code, fields in runs:
        light = float(COLOUR.models.eotf_sRGB(code / 255))
        step = (light > turning) - (light < turning)
        if step != way and abs(light - turning) >= 0.1:
            times.append(field / P288.field_rate)
            way = step
        if step == way:
            turning = light
        field += fields
    most = max([sum(start <= time < start + 1 for time in times) for start in times], default=0)
    assert count_flashes(P288, [(flat(P288, grey(code)), fields) for code, fields in runs]).part == most


@pytest.mark.parametrize("shape", [(80, 120), (96, 120)])
def test_areas(shape: tuple[int, int]) -> None:
    """Parts and the whole are counted as plain slices of the places are, over a quarter."""
    changed = np.random.default_rng(5).random(shape) < np.linspace(0, 0.6, shape[1])
    high, wide = round(shape[0] / 3), 40
    corners = [changed[:high, :wide], changed[:high, -wide:], changed[-high:, :wide], changed[-high:, -wide:]]
    got = parts(changed).reshape(9, 9)
    assert [got[0, 0], got[0, 8], got[8, 0], got[8, 8]] == [bool(part.mean() > 0.25) for part in corners]
    assert whole(changed).tolist() == [changed.mean() > 0.25]
    assert 0 < got.sum() < 81


def test_refusals() -> None:
    """No frame, no field and a frame of another format are the caller's mistakes, each said."""
    with pytest.raises(ValueError, match="no frame"):
        count_flashes(P240, [])
    with pytest.raises(ValueError, match="0 fields"):
        count_flashes(P240, [(flat(P240), 0)])
    with pytest.raises(ValueError, match="is not 240p"):
        count_flashes(P240, [(flat(I480), 1)])
