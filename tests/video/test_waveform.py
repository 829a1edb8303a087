"""The waveform of a line, measured as one would on an oscilloscope and by a decoder of the tests' own."""

from math import atan2, degrees, hypot, pi

import numpy as np
import pytest
from numpy.typing import NDArray

from appliance.errors import Refused
from appliance.video.formats import FORMATS, Format
from appliance.video.subcarriers import cycles_per_line
from appliance.video.waveform import composite_line

P240, I480, P288, I576 = FORMATS.values()
Signal = NDArray[np.float64]

BARS = [0xFFFFFF, 0xFFFF00, 0x00FFFF, 0x00FF00, 0xFF00FF, 0xFF0000, 0x0000FF, 0x000000]


def bars(level: int = 255) -> NDArray[np.uint32]:
    """Eight bars of 90 samples, at a code of 255 or less."""
    row = np.repeat(np.array(BARS, np.uint32), 90)
    return np.asarray((row & np.uint32(0x010101)) * np.uint32(level))


def flat(colour: int) -> NDArray[np.uint32]:
    """A row of one colour."""
    return np.full(720, colour, np.uint32)


def decoded(fmt: Format, system: str, signal: Signal, window: slice, line: int) -> tuple[float, float, float]:
    """Mean, chroma peak to peak and phase in a window: a least-squares fit of a constant and two quadratures."""
    turn = 2 * pi * float(cycles_per_line(fmt, system))
    phase = turn * (line + np.arange(len(signal)) / len(signal))[window]
    basis = np.stack([np.ones_like(phase), np.sin(phase), np.cos(phase)], axis=1)
    (mean, sine, cosine), *_ = np.linalg.lstsq(basis, signal[window], rcond=None)
    return float(mean), 2 * hypot(sine, cosine), degrees(atan2(cosine, sine)) % 360


# SMPTE 170M, 100 % bars with 7.5 IRE setup: luma IRE, chroma IRE p-p, phase; a published table
NTSC = {1: (89.45, 82.76, 167.08), 2: (72.34, 116.98, 283.46), 3: (61.80, 109.23, 240.71)}
NTSC |= {4: (45.70, 109.23, 60.71), 5: (35.16, 116.98, 103.46), 6: (18.05, 82.76, 347.08)}


@pytest.mark.parametrize("line", [0, 1, 100_001])
@pytest.mark.parametrize("bar", NTSC)
def test_ntsc_bars(bar: int, line: int) -> None:
    """The middle of each bar decodes to luma, chroma and phase of the table, on any line (SMPTE 170M)."""
    middle = slice(122 + 90 * bar + 25, 122 + 90 * bar + 65)
    signal = composite_line(I480, "NTSC", bars(), line)
    assert decoded(I480, "NTSC", signal, middle, line) == pytest.approx(NTSC[bar], abs=0.01)


# BT.470-5 B/G, 100 % bars: luma mV, chroma mV p-p, phase on a plain and a switched line
PAL = {1: (620.2, 626.27, 167.1, 192.9), 3: (410.9, 826.63, 240.7, 119.3), 6: (79.8, 626.27, 347.1, 12.9)}


@pytest.mark.parametrize("line", [0, 1])
@pytest.mark.parametrize("bar", PAL)
def test_pal_bars(bar: int, line: int) -> None:
    """PAL bars decode to the table, the phase turned over on odd lines (BT.470-5)."""
    middle = slice(132 + 90 * bar + 25, 132 + 90 * bar + 65)
    luma, chroma, phase = decoded(I576, "PAL", composite_line(I576, "PAL", bars(), line), middle, line)
    assert (luma * 7, chroma * 7) == pytest.approx(PAL[bar][:2], abs=0.1)
    assert phase == pytest.approx(PAL[bar][2 + line], abs=0.06)


@pytest.mark.parametrize(
    ("fmt", "system", "start", "cycles", "peak", "phases"),
    [
        (I480, "NTSC", 5.308, 9, 40, (180, 180)),  # SMPTE 170M: 19 cycles after 0H, 40 IRE p-p, 180° from B−Y
        (I576, "PAL", 5.6, 10, 300 / 7, (135, 225)),  # BT.470-5: ±135°, 300 mV p-p
    ],
    ids=["NTSC", "PAL"],
)
def test_burst(fmt: Format, system: str, start: float, cycles: int, peak: float, phases: tuple[float, float]) -> None:
    """The burst has the standard's amplitude and phase, and lies where the standard has it."""
    length = cycles / float(cycles_per_line(fmt, system) * fmt.line_rate) * 1e6
    middle = slice(round((start + 0.5) * 13.5), round((start + length - 0.5) * 13.5))
    for line, phase in enumerate(phases):
        signal = composite_line(fmt, system, flat(0), line)
        assert decoded(fmt, system, signal, middle, line) == pytest.approx((0, peak, phase), abs=0.05)
    quiet = [slice(66, int((start - 0.26) * 13.5)), slice(round((start + length + 0.3) * 13.5), 118)]
    assert all(np.abs(signal[part]).max() < 1e-9 for part in quiet)


@pytest.mark.parametrize(
    ("fmt", "system", "depth", "period"), [(P240, "NTSC", -40, 572 / 9), (P288, "PAL", -300 / 7, 64.0)]
)
def test_sync(fmt: Format, system: str, depth: float, period: float) -> None:
    """Sync is 4.7 µs wide at half amplitude and as deep as the standard has it, once a line (SMPTE 170M, BT.470-5)."""
    lines = np.concatenate([composite_line(fmt, system, flat(0), line) for line in (0, 1)])
    assert lines.min() == pytest.approx(depth)
    below = lines < depth / 2
    crossings = np.flatnonzero(below[1:] != below[:-1])
    times = [(n + (lines[n] - depth / 2) / (lines[n] - lines[n + 1])) / 13.5 for n in crossings]
    begins, ends = times[0::2], times[1::2]
    assert begins[:2] == pytest.approx([0, period], abs=0.005)
    assert ends[0] == pytest.approx(4.7, abs=0.02)


@pytest.mark.parametrize("system", ["NTSC-J", "NTSC", "mono"])
def test_white_and_black(system: str) -> None:
    """White is 100 IRE and black 0, or 7.5 with setup; mono has neither burst nor chroma (SMPTE 170M)."""
    black = 7.5 if system == "NTSC" else 0
    white = composite_line(P240, system, flat(0xFFFFFF))
    assert white[130:830] == pytest.approx(np.full(700, 100))
    assert composite_line(P240, system, flat(0))[130:830] == pytest.approx(np.full(700, black), abs=1e-9)
    red = composite_line(P240, system, flat(0xFF0000))[130:830]
    assert (np.ptp(red) < 1e-9) == (system == "mono")
    assert (np.abs(white[66:110]).max() > 1) == (system != "mono")


def test_chroma_band() -> None:
    """A sine of 1.3 MHz between two colours of equal luma keeps 0.707 of its chroma (BT.470-5: less than 3 dB)."""
    from appliance.video.waveform import _smooth

    sine = np.sin(2 * pi * 1.3 / 13.5 * np.arange(720))
    assert np.abs(_smooth(sine)[100:600]).max() == pytest.approx(0.7079, abs=0.005)
    far = np.sin(2 * pi * 4 / 13.5 * np.arange(720))
    assert np.abs(_smooth(far)[100:600]).max() < 0.1  # BT.470-5 B/G: more than 20 dB at 4 MHz


def test_subcarrier_stands_still_at_262_lines() -> None:
    """From field to field of 240p NTSC a line is the same, a field holding whole cycles; the next is inverted."""
    now, later = (composite_line(P240, "NTSC", bars(), line) for line in (7, 7 + 262 * 1000))
    assert later == pytest.approx(now, abs=1e-6)
    following = composite_line(P240, "NTSC", bars(), 8)
    assert (now + following)[310:340] == pytest.approx(np.full(30, 2 * 72.34), abs=0.1)


def test_refusals() -> None:
    """A system that does not fit and a row of another length are said."""
    with pytest.raises(Refused, match="does not go with"):
        composite_line(P240, "PAL", flat(0))
    with pytest.raises(ValueError, match="not 720 samples"):
        composite_line(P240, "NTSC", np.zeros(704, np.uint32))
