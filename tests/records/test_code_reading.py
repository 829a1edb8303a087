"""Every page of the longest tally, in each format, read back from photographs of a tube by two general decoders.

The decoders are zxing-cpp and OpenCV's; the camera is a model of ours (``tests/camera.py``). As with a telephone, a
page is read when one of a few successive pictures is. FIELDMOUSE_CODE_PAGES=all takes every page at both exposures; in
the ordinary suite each format is taken at each exposure with another page.
"""

import os
from collections.abc import Callable
from functools import cache

import cv2
import numpy as np
import pytest
import zxingcpp

from appliance.patterns.code_page import code_page
from appliance.records.tally import code, code_words, tally_pages
from appliance.video.formats import FORMATS, Format
from tests.camera import Camera, Filmed, Photograph
from tests.records.test_tally import kinds, longest

PICTURES = 6
"""Successive pictures at 30 a second: a fifth of a second before a telephone's finder."""

EVERY = os.environ.get("FIELDMOUSE_CODE_PAGES") == "all"

Read = Callable[[Photograph], str]


def by_zxing(photograph: Photograph) -> str:
    """What zxing-cpp reads."""
    return next((found.text for found in zxingcpp.read_barcodes(photograph)), "")


def by_opencv(photograph: Photograph) -> str:
    """What OpenCV reads."""
    return cv2.QRCodeDetector().detectAndDecode(photograph)[0]


@cache
def pages() -> tuple[str, ...]:
    """The longest tally."""
    return tally_pages(longest(), kinds())


def filmed(fmt: Format, number: int, camera: Camera) -> Filmed:
    """Page ``number``, from 0, before a camera."""
    words = code_words(4321, number + 1, len(pages()))
    return Filmed(code_page(fmt, code(pages()[number]), words), fmt, camera)


def taken(fmt: Format, exposure: int) -> list[int]:
    """The pages that are tried: all of them, or one that is another for each format and exposure."""
    place = 2 * list(FORMATS).index(fmt.name) + exposure // 60
    return list(range(len(pages()))) if EVERY else [place % len(pages())]


@pytest.mark.parametrize("exposure", [30, 60])
@pytest.mark.parametrize("fmt", FORMATS.values(), ids=FORMATS)
def test_pages_are_read_from_photographs(fmt: Format, exposure: int) -> None:
    """Both decoders give back the very text, each from one of the first six pictures, at 1/30 and 1/60 s."""
    for number in taken(fmt, exposure):
        film = filmed(fmt, number, Camera(1 / exposure))
        missing: dict[str, Read] = {"zxing-cpp": by_zxing, "OpenCV": by_opencv}
        for photograph in film.photographs(PICTURES, seed=number):
            for name in [name for name, read in missing.items() if read(photograph) == pages()[number]]:
                del missing[name]
            if not missing:
                break
        assert not missing, f"page {number + 1} in {fmt.name} at 1/{exposure} s"


def test_a_short_exposure_across_the_picture_is_not_read() -> None:
    """Held upright at 1/60 s before 50 fields a second, a band stays dark in each picture: why 1/30 s is asked for."""
    fmt = FORMATS["288p"]
    dark = filmed(fmt, 0, Camera(1 / 60, across=True, readout=0.02))
    light = filmed(fmt, 0, Camera(1 / 30, across=True, readout=0.02))
    assert not any(by_zxing(photograph) for photograph in dark.photographs(3))
    assert any(by_zxing(photograph) == pages()[0] for photograph in light.photographs(PICTURES))


def test_a_bright_room_and_a_poor_lens_spoil_the_photograph() -> None:
    """The model can fail: far out of focus, or in sunlight, nothing is read."""
    for camera in (Camera(1 / 30, defocus=0.02), Camera(1 / 30, ambient=20.0)):
        photograph = next(filmed(FORMATS["240p"], 0, camera).photographs(1))
        assert not by_zxing(photograph)
        assert not by_opencv(photograph)


def test_the_channel_before_the_camera_is_the_one_said() -> None:
    """Half at 2.5 MHz, all well below, nothing well above: the low-pass of the model, by its own response."""
    from tests.camera import CHANNEL  # beside its only use

    def response(frequency: float) -> float:
        angles = -2j * np.pi * frequency / 13.5e6 * np.arange(len(CHANNEL))
        return float(abs((CHANNEL * np.exp(angles)).sum()))

    assert response(2.5e6) == pytest.approx(0.5, abs=0.01)
    assert response(1.5e6) == pytest.approx(1, abs=0.02)
    assert response(3.58e6) < 0.02
