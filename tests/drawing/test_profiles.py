"""The sine-squared pulse and edge against the formula, its integral and its ideal spectrum; rows by area."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import cumulative_trapezoid
from scipy.signal.windows import hann

from appliance.drawing.colours import BLACK, WHITE, blend
from appliance.drawing.profiles import edge, half_amplitude, horizontals, pulse, rows_covered, span, verticals
from appliance.video.formats import FORMATS

FORMAT_NAMES = ["240p", "480i", "288p", "576i"]


def ideal_spectrum(frequency: np.ndarray, had: float) -> np.ndarray:
    """Fourier transform of cos²(πt/2·HAD) within ±HAD, relative to its value at 0 (worked out by hand)."""
    u = 2 * frequency * had
    near = np.isclose(u, 1)
    return np.where(near, 0.5, np.sinc(u) / np.where(near, 1, 1 - u**2))


@pytest.mark.parametrize(("name", "samples"), [("480i", 3.375), ("240p", 3.375), ("576i", 2.7), ("288p", 2.7)])
def test_half_amplitude_duration_is_2t(name: str, samples: float) -> None:
    """T is 125 ns in 525 and 100 ns in 625 lines (ITU-T J.61), so 2T is so many samples at 13.5 MHz."""
    assert half_amplitude(FORMATS[name]) == pytest.approx(samples, abs=1e-12)


def test_pulse_is_the_hann_window() -> None:
    """A cos² pulse is what scipy calls a Hann window over ±HAD."""
    offsets = np.linspace(-2.7, 2.7, 101)
    np.testing.assert_allclose(pulse(offsets, 2.7), hann(101), atol=1e-12)


def test_pulse_is_half_as_high_at_half_its_duration() -> None:
    """Half-amplitude duration is what its name says."""
    np.testing.assert_allclose(pulse(np.array([-1.6875, 1.6875]), 3.375), 0.5)


def test_edge_is_the_running_integral_of_the_pulse() -> None:
    """Against scipy's trapezium rule on a fine grid."""
    offsets = np.linspace(-5, 5, 20001)
    area = cumulative_trapezoid(pulse(offsets, 3.375), offsets, initial=0)
    np.testing.assert_allclose(edge(offsets, 3.375), area / area[-1], atol=1e-7)


def test_edge_rises_as_a_sine_squared_step_does() -> None:
    """10–90 % takes 0.9644 of the half-amplitude duration (worked out from the integral)."""
    offsets = np.linspace(-1, 1, 200001)
    low, high = np.interp([0.1, 0.9], edge(offsets, 1.0), offsets)
    assert high - low == pytest.approx(0.9644, abs=1e-4)


def sampled_spectrum(frequency: np.ndarray, had: float, place: float) -> np.ndarray:
    """The ideal spectrum with the images that sampling at ``place`` folds back; ``frequency`` in cycles a sample."""
    images = [
        ideal_spectrum(frequency + k, had) * np.exp(-2j * np.pi * (frequency + k) * (place - 0.5)) for k in range(-3, 4)
    ]
    total: np.ndarray = np.abs(np.sum(images, axis=0))
    return total


def drawn_spectrum(had: float, place: float) -> np.ndarray:
    """Spectrum of a vertical as drawn in 8 bits, relative to an exact pulse's value at 0."""
    line = blend(verticals([place], 720, had), BLACK, WHITE) & 255
    return np.abs(np.fft.rfft(line, 8192)) / (255 * had)


frequencies = np.fft.rfftfreq(8192)


@pytest.mark.parametrize("name", ["480i", "576i"])
@given(place=st.floats(300, 301))
def test_spectrum_of_a_vertical_is_ideal_above_its_channel(name: str, place: float) -> None:
    """From 1/HAD up it is within 1.5 dB of the ideal wherever that is above −35 dB; below, 8 bits blur it."""
    had = half_amplitude(FORMATS[name])
    ideal = sampled_spectrum(frequencies, had, place)
    compared = (frequencies >= 1 / had) & (ideal > 10 ** (-35 / 20))
    departure = 20 * np.log10(drawn_spectrum(had, place)[compared] / ideal[compared])
    assert np.abs(departure).max() < 1.5


@pytest.mark.parametrize("name", ["480i", "576i"])
@given(place=st.floats(300, 301))
def test_vertical_has_no_notable_energy_above_its_channel(name: str, place: float) -> None:
    """An exact pulse has −31.5 dB at most from 1/HAD up (worked out from its transform); sampling adds 2 dB at most."""
    had = half_amplitude(FORMATS[name])
    above = frequencies >= 1 / had
    assert 20 * np.log10(np.abs(ideal_spectrum(frequencies[above], had)).max()) == pytest.approx(-31.47, abs=0.05)
    assert 20 * np.log10(drawn_spectrum(had, place)[above].max()) < -29.5


@pytest.mark.parametrize("name", ["480i", "576i"])
@given(place=st.floats(300, 301))
def test_spectrum_of_a_vertical_is_ideal_within_its_channel(name: str, place: float) -> None:
    """Down to −16 dB the drawn vertical is within 0.3 dB of the pulse, sampling or not."""
    had = half_amplitude(FORMATS[name])
    ideal = ideal_spectrum(frequencies, had)
    passed = ideal > 0.15
    assert np.abs(20 * np.log10(drawn_spectrum(had, place)[passed] / ideal[passed])).max() < 0.3


@given(place=st.floats(20, 700), name=st.sampled_from(FORMAT_NAMES))
def test_vertical_lies_where_it_was_asked_for(place: float, name: str) -> None:
    """The centre of mass, sample i lying at i + 0.5, is the place asked for but for what sampling folds back."""
    line = verticals([place], 720, half_amplitude(FORMATS[name]))
    assert np.average(np.arange(720) + 0.5, weights=line) == pytest.approx(place, abs=0.01)


@given(left=st.floats(20, 300), width=st.floats(0, 300))
def test_span_is_as_wide_as_it_was_asked_for(left: float, width: float) -> None:
    """Half amplitude to half amplitude, hence also the integral, is the width."""
    line = span(left, left + width, 720, 3.375)
    assert line.sum() == pytest.approx(width, abs=1e-2)
    assert line.min() >= -1e-12
    assert line.max() <= 1 + 1e-12


@given(top=st.floats(-5, 50), height=st.floats(0, 60))
def test_rows_are_covered_by_area(top: float, height: float) -> None:
    """The covered rows add up to the height that lies within the frame, and none is covered twice."""
    rows = rows_covered(top, top + height, 48)
    assert rows.sum() == pytest.approx(max(min(top + height, 48) - max(top, 0), 0), abs=1e-9)
    assert (rows >= 0).all()
    assert (rows <= 1).all()


@given(place=st.floats(3, 45), thickness=st.floats(0.5, 4))
def test_horizontal_lies_where_it_was_asked_for(place: float, thickness: float) -> None:
    """The covered rows add up to the thickness, and their edges lie half of it above and below the place."""
    rows = horizontals([place], thickness, 48)
    covered = np.flatnonzero(rows > 1e-9)
    assert rows.sum() == pytest.approx(thickness)
    assert covered[0] + 1 - rows[covered[0]] == pytest.approx(place - thickness / 2) or len(covered) == 1


def test_horizontal_on_a_row_is_sharp() -> None:
    """A line of one row centred on a row covers that row and no other."""
    assert horizontals([10.5], 1, 20).tolist() == [0.0] * 10 + [1.0] + [0.0] * 9
