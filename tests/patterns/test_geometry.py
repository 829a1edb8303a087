"""Crosshatches: cells square, the centre crossed, movement exact; all measured from the frames."""

import numpy as np
import pytest
from numpy.typing import NDArray

from appliance.patterns.catalogue import catalogue
from appliance.patterns.geometry import CROSSHATCHES
from appliance.video.formats import FORMATS
from tests.patterns.measure import drawn, line_centres, signal

# Width of a sample over the height of a row: 4320/4739 (525) and 128/117 (625) interlaced, half that progressive;
# from 710.85 × 486 and 702 × 576 on a 4:3 tube (SMPTE 170M, ITU-R BT.470).
ASPECTS = {"240p": 2160 / 4739, "480i": 4320 / 4739, "288p": 64 / 117, "576i": 128 / 117}


def lines_of(frame: NDArray[np.uint32], gun: int = 1) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Where verticals and horizontals lie, from a row and a column that run between the lines."""
    planes = signal(frame)[..., gun]
    if planes.mean() > 0.5:
        planes = 1 - planes
    row = planes[planes.sum(axis=1).argmin()]
    column = planes[:, planes.sum(axis=0).argmin()]
    return line_centres(row), line_centres(column)


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("variant", ["white", "fine", "coarse", "inverse", "fine-inverse"])
def test_cells_are_square_and_equal(name: str, variant: str) -> None:
    """Width × pixel aspect over height is 1 within 0.05 %, and no cell departs from the mean by 0.03 sample (2 ns)."""
    columns, rows = lines_of(drawn("crosshatch", variant, name))
    widths, heights = np.diff(columns), np.diff(rows)
    assert widths.mean() * ASPECTS[name] / heights.mean() == pytest.approx(1, abs=5e-4)
    assert np.abs(widths - widths.mean()).max() < 0.03
    assert np.ptp(heights) < 1e-9


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("variant", ["white", "fine", "coarse"])
def test_lines_cross_at_the_centre_and_lie_even_about_it(name: str, variant: str) -> None:
    """Within 0.01 sample across; down the frame exact when interlaced, half a row high when progressive."""
    fmt = FORMATS[name]
    columns, rows = lines_of(drawn("crosshatch", variant, name))
    middle = fmt.lines / 2 - (0 if fmt.interlaced else 0.5)
    assert np.abs(columns - 360).min() < 0.01
    assert np.abs(columns + columns[::-1] - 720).max() < 0.02
    np.testing.assert_allclose(rows + rows[::-1], 2 * middle, atol=1e-9)
    assert middle in rows


@pytest.mark.parametrize("name", FORMATS)
def test_usual_cells_are_twelve_by_nine_of_the_picture(name: str) -> None:
    """A cell is a ninth of the 243, 486, 288 or 576 rows of the whole picture."""
    _, rows = lines_of(drawn("crosshatch", "white", name))
    assert np.diff(rows).mean() == {"240p": 27, "480i": 54, "288p": 32, "576i": 64}[name]


@pytest.mark.parametrize("variant", ["white", "fine", "coarse"])
@pytest.mark.parametrize(("one", "other"), [("240p", "480i"), ("288p", "576i"), ("480i", "576i")])
def test_formats_look_alike(variant: str, one: str, other: str) -> None:
    """A cell takes the same part of the picture's height within 0.5 %, whatever the format."""
    parts = [
        np.diff(lines_of(drawn("crosshatch", variant, name))[1]).mean() / float(FORMATS[name].picture_lines)
        for name in (one, other)
    ]
    assert parts[0] == pytest.approx(parts[1], rel=5e-3)


@pytest.mark.parametrize("name", FORMATS)
def test_horizontals_are_one_sharp_scanned_line(name: str) -> None:
    """Whole rows, full signal: one in a progressive format, one of each field in an interlaced one."""
    fmt = FORMATS[name]
    column = signal(drawn("crosshatch", "white", name))[:, 30, 1]
    lit = np.flatnonzero(column == 1)
    thickness = 2 if fmt.interlaced else 1
    assert set(np.unique(column)) == {0.0, 1.0}
    runs = np.split(lit, np.flatnonzero(np.diff(lit) > 1) + 1)
    assert {len(run) for run in runs} == {thickness}


@pytest.mark.parametrize("variant", CROSSHATCHES)
def test_guns_are_those_named(variant: str) -> None:
    """Only the guns that a variant names light its lines."""
    named = {"red", "green", "blue"} & set(variant.split("-")) or {"red", "green", "blue"}
    planes = signal(drawn("crosshatch", variant, "480i"))
    assert {gun for n, gun in enumerate(("red", "green", "blue")) if planes[..., n].any()} == named


def shift(before: NDArray[np.uint32], after: NDArray[np.uint32]) -> tuple[int, int]:
    """Rows and samples by which the picture went, by phase correlation; valid within half a period."""
    one, two = (np.fft.fft2((frame & 255).astype(float)) for frame in (before, after))
    cross = one.conj() * two
    peak = np.fft.ifft2(cross / np.maximum(np.abs(cross), 1e-6)).real
    row, sample = np.unravel_index(peak.argmax(), peak.shape)
    return tuple(int(n) - size if n > size // 2 else int(n) for n, size in zip((row, sample), peak.shape, strict=True))  # type: ignore[return-value] # two of them


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize(
    ("variant", "samples", "scanned_lines"), [("across", 2, 0), ("down", 0, 1), ("slantwise", 2, 1)]
)
@pytest.mark.parametrize("field", [0, 1, 33, 34, 61, 99])
def test_movement_is_exact_from_field_to_field(
    name: str, variant: str, samples: int, scanned_lines: int, field: int
) -> None:
    """Two samples to the right, one scanned line down each field, over the wrap as anywhere else."""
    rows = scanned_lines * (2 if FORMATS[name].interlaced else 1)
    before, after = (drawn("moving-crosshatch", variant, name, field + n) for n in (0, 1))
    kept = after[rows:, samples:]
    assert (kept == before[: kept.shape[0], : kept.shape[1]]).all()
    assert not (after == before).all()


@pytest.mark.parametrize("name", FORMATS)
def test_movement_is_found_by_phase_correlation(name: str) -> None:
    """The same distance, found from the spectra of a piece of whole cells."""
    cell, rows = {"240p": (66, 30), "480i": (66, 60), "288p": (66, 36), "576i": (66, 72)}[name]
    wanted = 2 if FORMATS[name].interlaced else 1
    pieces = [drawn("moving-crosshatch", "slantwise", name, field)[: rows * 3, : cell * 8] for field in (10, 11)]
    found = shift(*pieces)
    assert (found[0] % rows, found[1] % cell) == (wanted, 2)


@pytest.mark.parametrize("name", FORMATS)
def test_moving_cells_are_square(name: str) -> None:
    """Whole samples and rows, square within 0.3 %."""
    columns, rows = lines_of(drawn("moving-crosshatch", "slantwise", name, 7))
    assert np.diff(columns).mean() * ASPECTS[name] / np.diff(rows).mean() == pytest.approx(1, abs=3e-3)


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("variant", ["across", "down", "slantwise"])
def test_window_never_leaves_the_frame(name: str, variant: str) -> None:
    """Over all fields of both periods the window has its full size."""
    fmt = FORMATS[name]
    picture = catalogue()["moving-crosshatch"].draw(fmt, variant)
    assert picture.way is not None
    for field in range(picture.way.period_x * picture.way.period_y):
        x, y = picture.way.at(field)
        assert 0 <= x <= picture.frame.shape[1] - fmt.samples
        assert 0 <= y <= picture.frame.shape[0] - fmt.lines
