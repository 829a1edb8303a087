"""One line of composite video as a waveform, sampled at 13.5 MHz: what an oscilloscope should show of a row.

Chroma is ``U sin ωt + V cos ωt``; in a PAL system V and the burst's V turn over on odd lines. Lines are counted on
through fields, line 0 starting with the subcarrier at 0° on its 0H. The encoder's own filters are not known: U and V
are smoothed by a Gaussian of −3 dB at 1.3 MHz, luma is left as it is, and edges of sync are raised cosines.
"""

from dataclasses import dataclass
from fractions import Fraction
from math import pi
from typing import Annotated

import numpy as np
from numpy.typing import NDArray

from appliance.video.colour import LUMA_BLUE, LUMA_RED, SWITCHED_SYSTEMS, U_GAIN, V_GAIN
from appliance.video.formats import LINES_525, SAMPLE_RATE, Format
from appliance.video.levels import CODES, scale_of
from appliance.video.sources import Source
from appliance.video.subcarriers import cycles_per_line

Signal = NDArray[np.float64]

_SMPTE = ("SMPTE 170M", "2004")
_BT470 = ("ITU-R BT.470", "5 (1998)")

SYNC_TIME: Annotated[Fraction, Source(*_BT470, "line sync 4.7 µs, M and B/G")] = Fraction(47, 10)
"""µs between the half-amplitude points."""
BURST_CYCLES_525: Annotated[int, Source(*_SMPTE, "burst 9 ±1 cycles")] = 9
BURST_CYCLES_625: Annotated[int, Source(*_BT470, "burst 10 ±1 cycles, B/G")] = 10
BURST_START_525: Annotated[Fraction, Source(*_SMPTE, "burst starts 19 cycles after 0H")] = Fraction(19 * 88, 315)
"""µs after 0H."""
BURST_START_625: Annotated[Fraction, Source(*_BT470, "burst starts 5.6 ±0.1 µs after 0H, B/G")] = Fraction(56, 10)
"""µs after 0H."""
RISE_525: Annotated[Fraction, Source(*_SMPTE, "sync rise 140 ±20 ns", memory=True)] = Fraction(14, 100)
"""µs from 10 to 90 %."""
RISE_625: Annotated[Fraction, Source(*_BT470, "sync build-up 0.2 ±0.1 µs, B/G", memory=True)] = Fraction(2, 10)
"""µs from 10 to 90 %."""
CHROMA_BAND: Annotated[Fraction, Source(*_BT470, "chroma: less than 3 dB down at 1.3 MHz", memory=True)] = Fraction(
    13, 10
)
"""MHz."""

_ENVELOPE = 0.3  # µs from 10 to 90 % of the burst's edges, SMPTE 170M; from memory


@dataclass(frozen=True)
class _Timing:
    burst_start: float
    burst_cycles: int
    rise: float


_TIMING_525 = _Timing(float(BURST_START_525), BURST_CYCLES_525, float(RISE_525))
_TIMING_625 = _Timing(float(BURST_START_625), BURST_CYCLES_625, float(RISE_625))


def composite_line(fmt: Format, system: str, row: NDArray[np.uint32], line: int = 0) -> Signal:
    """IRE above blanking of a whole line, ``float64[858 or 864]`` from 0H on, of a row ``uint32[720]`` XRGB.

    Raises :class:`Refused` when system and format do not go together, ``ValueError`` for a row of another length.
    """
    if row.shape != (fmt.samples,):
        raise ValueError(f"a row of {row.shape} is not {fmt.samples} samples")
    scale = scale_of(fmt, system)
    time = np.arange(fmt.line_system.line_samples) / (SAMPLE_RATE / 1e6)  # µs after 0H
    timing = _TIMING_525 if fmt.line_system is LINES_525 else _TIMING_625
    luma, u, v = _colour_signals(row)
    start = fmt.line_system.digital_start
    active = slice(start, start + fmt.samples)
    signal = _sync(time, float(fmt.line_system.line_samples) / (SAMPLE_RATE / 1e6), timing.rise)
    signal *= float(scale.millivolts_to_ire(scale.sync))
    signal[active] += float(scale.setup) + 100 * float(scale.gain) * luma
    if scale.burst:
        peak = float(scale.millivolts_to_ire(scale.burst)) / 2
        chroma = peak * _burst(fmt, system, time, timing)
        chroma[:, active] += 100 * float(scale.gain) * np.stack([u, v])
        signal += _modulate(fmt, system, line, chroma)
    return signal


def _colour_signals(row: NDArray[np.uint32]) -> tuple[Signal, Signal, Signal]:
    """Luma from 0 to 1, and U and V of that, smoothed."""
    red, green, blue = ((row >> shift & 255) / CODES for shift in (16, 8, 0))
    luma = float(LUMA_RED) * red + float(1 - LUMA_RED - LUMA_BLUE) * green + float(LUMA_BLUE) * blue
    return luma, _smooth(float(U_GAIN) * (blue - luma)), _smooth(float(V_GAIN) * (red - luma))


def _smooth(signal: Signal) -> Signal:
    """A Gaussian low-pass of −3 dB at the chroma band's edge; the row's ends are taken to go on as they are."""
    sigma = np.sqrt(np.log(2)) / (2 * pi * float(CHROMA_BAND) * 1e6) * SAMPLE_RATE  # samples
    reach = int(np.ceil(4 * sigma))
    taps = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2)
    return np.convolve(np.pad(signal, reach, mode="edge"), taps / taps.sum(), mode="valid")


def _edge(time: Signal, at: float, rise: float) -> Signal:
    """From 0 to 1 as a raised cosine, half-way at ``at``, 10–90 % in ``rise``."""
    whole = rise / (1 - 2 * np.arccos(0.8) / pi)
    phase = np.clip((time - at) / whole, -0.5, 0.5)
    return np.asarray(0.5 * (1 + np.sin(pi * phase)))


def _sync(time: Signal, period: float, rise: float) -> Signal:
    """1 in sync, 0 out of it; the edge of the next line's is in the end of this one."""
    width = float(SYNC_TIME)
    return _edge(time, 0, rise) - _edge(time, width, rise) + _edge(time, period, rise)


def _burst(fmt: Format, system: str, time: Signal, timing: _Timing) -> Signal:
    """U and V of the burst, ``float64[2, samples]``, peak 1: at 180°, or at 135° where V is switched."""
    length = timing.burst_cycles / float(cycles_per_line(fmt, system) * fmt.line_rate) * 1e6
    envelope = _edge(time, timing.burst_start, _ENVELOPE) - _edge(time, timing.burst_start + length, _ENVELOPE)
    angle = 0.75 * pi if system in SWITCHED_SYSTEMS else pi
    return np.outer([np.cos(angle), np.sin(angle)], envelope)


def _modulate(fmt: Format, system: str, line: int, chroma: Signal) -> Signal:
    """U and V ``float64[2, samples]`` on the subcarrier of the line."""
    per_line = cycles_per_line(fmt, system)
    begun = float(per_line * line % 1)  # exact first: after hours a float would have lost the phase
    phase = 2 * pi * (begun + float(per_line / fmt.line_system.line_samples) * np.arange(chroma.shape[1]))
    switch = -1 if system in SWITCHED_SYSTEMS and line % 2 else 1
    return np.asarray(chroma[0] * np.sin(phase) + switch * chroma[1] * np.cos(phase))
