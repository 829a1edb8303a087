"""A telephone's camera before a tube: what becomes of a frame between the lead and a photograph.

Ours, and simple. In order:

- the channel: luminance low-passed at 2.5 MHz, as in a plain set with a notch at the subcarrier (common practice);
- the tube: light goes by the 2.4th power of the signal (ITU-R BT.1886); a line is a Gaussian spot, 0.7 of the line's
  pitch wide at half height where it is dark and up to twice as wide where it is full (from memory: 0.5 to 1 mm, growing
  to 2 mm at peak); a part of the light is scattered in the glass far around (halation; common practice, no source);
- time: the beam writes a field from the top to the bottom; three quarters of the light decay with 30 µs, a quarter with
  400 µs (from memory: P22, green and blue to a tenth within 30 to 60 µs, red within 1 ms);
- geometry: the sides bow outwards by a share of the picture;
- the camera: each of its lines is exposed for the same time, but begun one after the other over ``readout`` seconds
  (from memory: 10 to 30 ms), downwards or, held upright, across; defocus; light of a dim room; shot and reading noise;
  exposure by the light parts; 8 bits after the 1/2.2th power.

Simplified: the bands of the shutter do not follow the bow; a mask and colour are left out; the camera stands square.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import convolve1d
from scipy.signal import firwin

from appliance.drawing.area import Area
from appliance.video.formats import Format

Floats = NDArray[np.floating]
Photograph = NDArray[np.uint8]

CHANNEL = firwin(63, 2.5e6, fs=13.5e6)
SPOT, SPOT_GROWTH = 0.7 / 2.355, 1.0
DECAYS = ((0.75, 30e-6), (0.25, 400e-6))


@dataclass(frozen=True)
class Camera:
    """How a photograph is taken: ``exposure`` and ``readout`` in seconds, lengths in shares of the picture's height."""

    exposure: float
    rows: int = 720
    readout: float = 0.016
    across: bool = False
    bow: float = 0.02
    defocus: float = 0.002
    halation: float = 0.08
    ambient: float = 0.05
    noise: float = 0.02
    rate: float = 30.0


class Filmed:
    """A still frame on a tube, before a camera; the light of each field is reckoned once."""

    def __init__(self, frame: NDArray[np.uint32], fmt: Format, camera: Camera) -> None:
        self._format, self._camera = fmt, camera
        self._fields = [_field_light(frame, fmt, parity, camera.rows) for parity in range(fmt.lines_per_row)]

    def photographs(self, count: int, seed: int = 0) -> Iterator[Photograph]:
        """``uint8[rows, 4/3 rows]`` of successive pictures of the camera, the first begun at any moment."""
        chance = np.random.default_rng(seed)
        begun = chance.uniform(0, 1)
        for number in range(count):
            yield self._photograph(begun + number / self._camera.rate, chance)

    def _photograph(self, begun: float, chance: np.random.Generator) -> Photograph:
        camera = self._camera
        flat = self._integrated(begun)
        light: Any = cv2.remap(flat, *_bowed(camera), cv2.INTER_LINEAR, borderValue=0)
        glow = cv2.GaussianBlur(light, (0, 0), 0.04 * camera.rows)
        light = cv2.GaussianBlur(
            (1 - camera.halation) * light + camera.halation * glow, (0, 0), camera.defocus * camera.rows
        )
        bright = float(np.percentile(light, 90))
        seen: Any = 0.6 * (light / bright + camera.ambient) / (1 + camera.ambient)
        seen += chance.normal(0, 1, seen.shape).astype(np.float32) * camera.noise * np.sqrt(0.25 + seen)
        photograph: Photograph = (255 * np.clip(seen, 0, 1) ** (1 / 2.2) + 0.5).astype(np.uint8)
        return photograph

    def _integrated(self, begun: float) -> NDArray[np.float32]:
        """What each place of the sensor gathers, in fields' worth of light."""
        camera, period = self._camera, float(self._format.field_time)
        height, width = self._fields[0].shape
        down = np.linspace(0, 1, height, dtype=np.float32)[:, None]
        opened = begun + camera.readout * (
            np.linspace(0, 1, width, dtype=np.float32)[None, :] if camera.across else down
        )
        scanned = down * float(self._format.lines / self._format.lines_per_row / self._format.line_total) * period
        total = np.zeros((height, width), np.float32)
        first = int(begun / period) - 2
        for field in range(first, int((begun + camera.readout + camera.exposure) / period) + 1):
            since = opened - (field * period + scanned)
            share = _gathered(since + camera.exposure) - _gathered(since)
            total += share.astype(np.float32) * self._fields[field % len(self._fields)]
        return total


def _gathered(since: Floats) -> Floats:
    """The share of its light that a place has given ``since`` seconds after the beam passed."""
    late = np.maximum(since, 0)
    shares: Floats = sum(share * (1 - np.exp(-late / decay)) for share, decay in DECAYS)  # type: ignore[assignment]
    return shares


def _field_light(frame: NDArray[np.uint32], fmt: Format, parity: int, rows: int) -> NDArray[np.float32]:
    """Light of one field, ``float32[rows, 4/3 rows]`` over the analogue picture."""
    area, step = Area.of(fmt), fmt.lines_per_row
    signal = np.clip(convolve1d((frame & 255) / 255, CHANNEL, axis=1, mode="nearest"), 0, 1)[parity::step]
    width = rows * 4 // 3
    places = area.left + (np.arange(width) + 0.5) * (area.width / width) - 0.5
    light = np.stack([np.interp(places, np.arange(fmt.samples), line) for line in signal**2.4]).astype(np.float32)
    pitch = step * rows / area.height  # rows of the sensor to a line of the field
    centres = ((np.arange(len(light)) * step + parity + 0.5) - area.top) * (rows / area.height)
    return _spots(light, centres, pitch, rows)


def _spots(light: NDArray[np.float32], centres: Floats, pitch: float, rows: int) -> NDArray[np.float32]:
    """Each line laid down as a Gaussian whose width goes by its own light."""
    image = np.zeros((rows, light.shape[1]), np.float32)
    sigma = SPOT * pitch * (1 + SPOT_GROWTH * np.sqrt(light))
    for line, centre, spread in zip(light, centres, sigma, strict=True):
        reach = int(np.ceil(3 * 2 * SPOT * pitch)) + 1
        low, high = max(0, int(centre) - reach), min(rows, int(centre) + reach)
        away = (np.arange(low, high) + 0.5 - centre).astype(np.float32)[:, None] / spread
        image[low:high] += line / spread * np.exp(-0.5 * away * away)
    return image


@cache
def _bowed(camera: Camera) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Where each place of the sensor looks: sides bow outwards by ``bow`` in their middle."""
    rows, width = camera.rows, camera.rows * 4 // 3
    x, y = np.meshgrid(np.linspace(-1, 1, width), np.linspace(-1, 1, rows))
    from_x, from_y = x * (1 - 2 * camera.bow * (1 - y * y)), y * (1 - 2 * camera.bow * (1 - x * x))
    return ((from_x + 1) / 2 * (width - 1)).astype(np.float32), ((from_y + 1) / 2 * (rows - 1)).astype(np.float32)
