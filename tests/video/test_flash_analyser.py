"""Flashes judged as an independent analyser judges them: iris-pse-detection, where it is installed.

It takes frames at a whole rate and goes by the average of the frame, so it is compared on sequences that are clear of
the limits and do not turn a pattern inside out; fields of an interlaced format are handed to it one by one. Its
warning after some seconds of slower flashing is stricter than WCAG, and is not compared.
"""

from collections.abc import Iterator
from types import ModuleType

import numpy as np
import pytest

from appliance.video.flash import count_flashes
from appliance.video.flash_cells import Words
from appliance.video.formats import FORMATS, Format
from tests.video.test_flash import BLACK, WHITE, Shown, flat, grey, turns

P240, I480, P288, I576 = FORMATS.values()


@pytest.fixture(scope="module")
def analyser() -> ModuleType:
    """The analyser's package; its tests are skipped where it is not installed."""
    module: ModuleType = pytest.importorskip("iris_pse_detection.flash_detection")
    return module


def fields_of(fmt: Format, shown: Shown) -> Iterator[Words]:
    """Every field as it is scanned, every other row of an interlaced frame."""
    number = 0
    for frame, fields in shown:
        for _ in range(fields):
            yield frame[number % 2 :: 2] if fmt.interlaced else frame
            number += 1


def analysed(module: ModuleType, fmt: Format, shown: Shown) -> bool:
    """Whether the analyser finds more than three flashes in some second."""
    Configuration = pytest.importorskip("iris_pse_detection").Configuration  # noqa: N806 - a class by its name

    detection = None
    for number, field in enumerate(fields_of(fmt, shown)):
        small = np.ascontiguousarray(field[::3, ::6])
        detection = detection or module.FlashDetection(round(fmt.field_rate), small.shape, Configuration())
        bgr = np.stack([small >> shift & 255 for shift in (0, 8, 16)], axis=2).astype(np.uint8)
        detection.set_current_frame(bgr)
        detection.analyse_frame(number)
    return bool(detection and detection.flash_fail)


def crosshatch(fmt: Format, pace: int) -> Shown:
    """Thin white lines on black, moving down and across by ``pace`` each field for more than a second."""
    frame = flat(fmt, WHITE, samples=slice(0, None, 40)) | flat(fmt, WHITE, lines=slice(0, None, 24))
    return [(np.roll(frame, (pace * n, pace * n), axis=(0, 1)), 1) for n in range(75)]


# what is shown, and whether it fails by the definition of BT.1702-3 and WCAG 2.2
SEQUENCES: dict[str, tuple[Format, Shown, bool]] = {
    "white and black four times a second": (P240, turns(flat(P240), flat(P240, WHITE), [7, 8] * 5), True),
    "white and black once a second": (P240, turns(flat(P240), flat(P240, WHITE), [30] * 6), False),
    "the same four times a second at 50 Hz": (P288, turns(flat(P288), flat(P288, WHITE), [6] * 10), True),
    "two greys a tenth apart and more": (P240, turns(flat(P240, grey(60)), flat(P240, grey(140)), [7] * 10), True),
    "two greys close together": (P240, turns(flat(P240, grey(60)), flat(P240, grey(80)), [7] * 10), False),
    "two light greys": (P240, turns(flat(P240, grey(255)), flat(P240, grey(240)), [7] * 10), False),
    "red and blue": (P240, turns(flat(P240, 0xC00000), flat(P240, 0x0000C0), [7] * 10), True),
    "dim red and black": (P240, turns(flat(P240, 0x600000), flat(P240, BLACK), [7] * 10), True),
    "dim green and black": (P240, turns(flat(P240, 0x002800), flat(P240, BLACK), [7] * 10), False),
    "one line on, one off, interlaced": (I576, [(flat(I576, WHITE, slice(None, None, 2)), 60)], True),
    "two lines on, two off, interlaced": (
        I576,
        [(flat(I576, WHITE, slice(0, None, 4)) | flat(I576, WHITE, slice(1, None, 4)), 60)],
        False,
    ),
    "a small block": (P240, turns(flat(P240), flat(P240, WHITE, slice(0, 30), slice(0, 60)), [7] * 10), False),
    "a crosshatch moving a line a field": (P240, crosshatch(P240, 1), False),
    "a crosshatch moving two lines a field": (P240, crosshatch(P240, 2), False),
    "stepping at its fastest, twice a second": (P240, turns(flat(P240), flat(P240, WHITE), [31] * 6), False),
}


@pytest.mark.parametrize("name", SEQUENCES)
def test_agrees_with_the_analyser(name: str, analyser: ModuleType) -> None:
    """Clear of the limits, the independent analyser comes to the verdict of the definition too."""
    fmt, shown, fails = SEQUENCES[name]
    assert analysed(analyser, fmt, shown) == fails


@pytest.mark.parametrize("name", SEQUENCES)
def test_verdict(name: str) -> None:
    """We come to the verdict of the definition on each sequence."""
    fmt, shown, fails = SEQUENCES[name]
    assert count_flashes(fmt, shown).fails == fails
