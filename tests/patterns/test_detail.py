"""Bursts, sweep and wedges by Fourier transform of the drawn lines; pulse, bar and needles against the formula."""

import numpy as np
import pytest

from appliance.video.formats import FORMATS
from tests.patterns.measure import drawn, line_centres, signal

# MHz: 625, CCIR Rec. 473 line 18; 525, NTC-7 (from memory).
BURSTS = {"525": [0.5, 1, 2, 3, 3.58, 4.2], "625": [0.5, 1, 2, 4, 4.8, 5.8]}


def row_of(key: str, variant: str, name: str, share: float = 0.4) -> np.ndarray:
    """Green signal of the line at a share of the height."""
    return signal(drawn(key, variant, name))[int(FORMATS[name].lines * share), :, 1]


def frequency(piece: np.ndarray) -> float:
    """MHz of the strongest component of a piece of a line, its mean taken off."""
    windowed = (piece - piece.mean()) * np.hanning(len(piece))
    spectrum = np.abs(np.fft.rfft(windowed, 1 << 16))
    return float(np.fft.rfftfreq(1 << 16, 1 / 13.5)[spectrum.argmax()])


@pytest.mark.parametrize("name", FORMATS)
def test_bursts_have_their_frequencies_and_swing(name: str) -> None:
    """Within 0.03 MHz; trough to crest half of the signal (50 IRE, 525) or 420 of 700 mV (625) within 3 %."""
    fmt = FORMATS[name]
    width = float(fmt.line_system.active_samples)
    row = row_of("multiburst", "plain", name)
    swing = {"525": 0.5, "625": 0.6}[fmt.line_system.name]
    for n, wanted in enumerate(BURSTS[fmt.line_system.name]):
        middle = 360 - width / 2 + (0.12 + 0.13 * (n + 0.5)) * width
        piece = row[round(middle) - 30 : round(middle) + 30]
        assert frequency(piece) == pytest.approx(wanted, abs=0.03 if wanted > 0.5 else 0.06)
        wave = np.exp(2j * np.pi * wanted / 13.5 * np.arange(60))
        if wanted > 0.5:
            assert 4 * np.abs((piece - 0.5) @ wave) / 60 == pytest.approx(swing, rel=0.03)
    assert row[round(360 - width / 2 + 0.045 * width)] == pytest.approx(0.5 + swing / 2, abs=0.003)
    assert row[round(360 - width / 2 + 0.095 * width)] == pytest.approx(0.5 - swing / 2, abs=0.003)


@pytest.mark.parametrize("name", FORMATS)
def test_sweep_has_each_frequency_at_its_mark(name: str) -> None:
    """At the mark of each whole MHz the strongest component within 60 samples is that, within 0.05 MHz."""
    fmt = FORMATS[name]
    marks = line_centres(row_of("sweep", "numbered", name, 0.73))
    row = row_of("sweep", "plain", name)
    assert len(marks) == {"525": 4, "625": 5}[fmt.line_system.name]
    for megahertz, mark in enumerate(marks, start=1):
        piece = row[round(mark) - 30 : round(mark) + 30]
        assert frequency(piece) == pytest.approx(megahertz, abs=0.06)


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("tv_lines", [150, 200, 300, 400])
def test_wedges_are_graded_in_tv_lines(name: str, tv_lines: int) -> None:
    """TV lines = 2 · f · active time · ¾, 78.98 a MHz (525) and 78.0 (625): found within 4 % at their heights."""
    fmt = FORMATS[name]
    height, width = float(fmt.picture_lines), float(fmt.line_system.active_samples)
    top, bottom = ((fmt.lines - height) / 2 + share * height for share in (0.17, 0.83))
    row = int(top + (bottom - top) * (tv_lines - 100) / 400)
    line = signal(drawn("wedges", "plain", name))[row, :, 1]
    middle = round(360 + (0.22 - 0.5) * width)
    reach = int(3.5 * 13.5 / (tv_lines / 78.5))
    found = frequency(line[middle - reach : middle + reach + 1])
    assert found * {"525": 78.98, "625": 78.0}[fmt.line_system.name] == pytest.approx(tv_lines, rel=0.04)


@pytest.mark.parametrize("name", FORMATS)
def test_pulse_is_2t_wide_and_the_bar_rises_in_time(name: str) -> None:
    """Area of the pulse 250 or 200 ns; 10–90 % of the bar's edge 0.9644 of that (ITU-T J.61's sine-squared shapes)."""
    fmt = FORMATS[name]
    row = row_of("pulse-and-bar", "white", name)
    had = {"525": 0.250, "625": 0.200}[fmt.line_system.name]
    assert row[:300].sum() / 13.5 == pytest.approx(had, rel=0.02)
    rise = np.arange(300, 360)[row[300:360] > 0][0] - 2
    places = np.arange(rise, rise + 14)
    low, high = np.interp([0.1, 0.9], row[places], places)
    assert (high - low) / 13.5 == pytest.approx(0.9644 * had, rel=0.06)
    assert row[400:500].min() == 1


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("variant", ["white", "black"])
def test_needles_stand_free(name: str, variant: str) -> None:
    """Five single verticals a fifth of the exact picture, 10 µs, apart."""
    row = row_of("needles", variant, name)
    places = line_centres(row if variant == "white" else 1 - row / row.max())
    assert len(places) == 5
    np.testing.assert_allclose(np.diff(places) / 13.5, float(FORMATS[name].line_system.active_time) * 2e5, atol=0.01)


@pytest.mark.parametrize("name", FORMATS)
def test_focus_patches_show_single_scanned_lines(name: str) -> None:
    """Nine patches of seven horizontals, each one scanned line, three dark ones between."""
    fmt = FORMATS[name]
    plane = signal(drawn("focus", "white", name))[..., 1]
    column = plane[:, 320]
    lit = np.flatnonzero(column == 1)
    assert len(lit) == 3 * 7 * fmt.lines_per_row
