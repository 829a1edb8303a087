"""The tone's samples, measured by Fourier, and the output without a sound card."""

import numpy as np
import pytest

from appliance.hardware.sound.tone import RATE, ToneSound, samples


def channels(side: str) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Left and right as rows, 1.0 being full scale."""
    return np.array(samples(side), float).reshape(-1, 2).T / 32767


def test_the_tone_is_a_kilohertz_at_minus_twenty_decibels() -> None:
    """Its spectrum has one line, at 1 kHz, a tenth of full scale high (20·log10 0.1 = −20)."""
    left = channels("left")[0]
    spectrum = np.abs(np.fft.rfft(left)) * 2 / len(left)
    peak = int(spectrum.argmax())
    assert np.fft.rfftfreq(len(left), 1 / RATE)[peak] == pytest.approx(1000)
    assert 20 * np.log10(spectrum[peak]) == pytest.approx(-20, abs=0.01)
    assert np.delete(spectrum, peak).max() < 10 ** (-90 / 20)


@pytest.mark.parametrize(("side", "loud"), [("left", (True, False)), ("right", (False, True)), ("both", (True, True))])
def test_each_side_sounds_alone(side: str, loud: tuple[bool, bool]) -> None:
    """The other side is digital silence."""
    assert tuple(bool(channel.any()) for channel in channels(side)) == loud


def test_the_loop_has_no_seam() -> None:
    """The step from the last sample to the first is one of those inside the wave."""
    left = np.array(samples("both")[::2], float)
    assert abs(left[0] - left[-1]) <= np.abs(np.diff(left)).max()


def test_an_unknown_side_is_named() -> None:
    """The message says what was asked for and what there is."""
    with pytest.raises(ValueError, match=r"'middle'.*left, right, both"):
        samples("middle")


def test_without_an_output_the_trouble_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """An unknown driver stands for a board without sound: ``OSError``, so that the box goes on without."""
    monkeypatch.setenv("SDL_AUDIODRIVER", "nothing-of-the-kind")
    with pytest.raises(OSError, match="no sound output"):
        ToneSound()


def test_the_tone_plays_on_a_pretended_output(monkeypatch: pytest.MonkeyPatch) -> None:
    """With the library's own dummy driver it plays, changes sides, falls silent and closes."""
    monkeypatch.setenv("SDL_AUDIODRIVER", "dummy")
    sound = ToneSound()
    sound.play("left")
    assert sound._mixer.get_busy()
    sound.play("")
    assert not sound._mixer.get_busy()
    sound.close()
