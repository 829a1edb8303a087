"""Strokes and gaps are wide enough for a small set, and the letters look the same in every format."""

import numpy as np
import pytest

from appliance.lettering import width
from appliance.video.formats import FORMATS, Format
from tests.lettering.drawn import bars_and_gaps, drawn, ink_rows

EVERY = pytest.mark.parametrize("fmt", FORMATS.values(), ids=FORMATS)

# At least 4 samples: half a period of 13.5/8 = 1.69 MHz, well inside the luminance of a set with a notch or a
# comb; at least 2 scanned lines (the rule of this box; no standard gives one for composite).
SAMPLES, LINES = 4, 2


def middle(top: int, bottom: int) -> int:
    """A row a little below the middle, clear of arches and bars."""
    return round(top + 0.55 * (bottom - top))


@EVERY
@pytest.mark.parametrize("text", ["nmuhqpdbil", "rnnrnmin", "ddbbpp", "HUHII", "oceoc", "0O0DQ"])
def test_stems_and_the_gaps_beside_them_are_wide_enough(fmt: Format, text: str) -> None:
    """Stems and the gaps in and between letters are at least 4 samples, across the middle of the letters.

    Letters with slants (N, M, W) are left out: where a slant meets a stem the gap closes in any hand.
    """
    row = middle(*ink_rows("x" if text.islower() else "H", fmt))
    bars, gaps = bars_and_gaps(drawn(text, fmt)[row])
    assert len(bars) >= len(text)
    assert bars.min() >= SAMPLES
    assert gaps.min() >= SAMPLES


@EVERY
@pytest.mark.parametrize("letter", "easgEBS35689")
def test_bars_and_the_gaps_between_them_are_high_enough(fmt: Format, letter: str) -> None:
    """On some upright through the middle of a letter of three bars, all are at least 2 scanned lines, and both gaps.

    Letters with slants (z, 2) are left out: where a slant meets a bar the gap closes in any hand.
    """
    ink = drawn(letter, fmt)
    third = ink.shape[1] // 3
    uprights = [bars_and_gaps(column) for column in ink[:, third:-third].T]
    narrowest = [min(*bars, *gaps) for bars, gaps in uprights if len(bars) >= 3]
    assert max(narrowest) >= LINES * fmt.lines_per_row


@EVERY
def test_no_two_letters_touch(fmt: Format) -> None:
    """Between any two of the letters and figures at least 3.4 samples stay clear, whatever stands next to them."""
    letters = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
    sides = []
    for letter in letters:
        columns = np.flatnonzero(drawn(letter, fmt).max(axis=0) >= 0.5) - 8
        sides.append((columns[0], width(letter, fmt) - 1 - columns[-1]))
    left, right = np.array(sides).T
    assert left.min() + right.min() >= 3.4


@EVERY
def test_letters_are_as_large_on_the_tube_in_every_format(fmt: Format) -> None:
    """Height of a small letter as a share of picture height, and width of a line, agree within 4 and 2 % with 240p."""
    usual = FORMATS["240p"]
    text = "Any key: black at once"

    def share(fmt: Format) -> tuple[float, float]:
        top, bottom = ink_rows("x", fmt)
        return (bottom - top) / float(fmt.picture_lines), width(text, fmt) / float(fmt.line_system.active_samples)

    (tall, wide), (usual_tall, usual_wide) = share(fmt), share(usual)
    assert tall == pytest.approx(usual_tall, rel=0.04)
    assert wide == pytest.approx(usual_wide, rel=0.02)


@EVERY
def test_a_line_of_text_keeps_below_the_colour_carrier(fmt: Format) -> None:
    """Of the energy of a text line above 0.2 MHz less than −40 dB lies above 1/HAD = 4 MHz and at the subcarriers.

    An ideal sine-squared edge of 250 ns has nothing at 4 MHz and, above, under −33 dB of its spectrum at half
    that frequency (ITU-T J.61's pulse).
    """
    rows = drawn("Full white 10 s, go starts and runs", fmt)
    spectrum = (np.abs(np.fft.rfft(rows * np.hanning(rows.shape[1]), 1024, axis=1)) ** 2).sum(axis=0)
    frequency = np.fft.rfftfreq(1024, 1 / 13.5)
    whole = spectrum[frequency > 0.2].sum()
    assert spectrum[frequency >= 4.0].sum() < 1e-4 * whole
    around_the_ntsc_subcarrier = (frequency > 3.38) & (frequency < 3.78)
    assert spectrum[around_the_ntsc_subcarrier].sum() < 1e-4 * whole
