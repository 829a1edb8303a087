"""A frame as a 4:3 tube shows it, for people with square pixels."""

import numpy as np
from numpy.typing import NDArray

from appliance.drawing.area import Area
from appliance.drawing.profiles import Floats
from appliance.video.formats import Format

Bytes = NDArray[np.uint8]


def channels(frame: NDArray[np.uint32]) -> Bytes:
    """``uint8[lines, samples, 3]``, red, green, blue, of XRGB words."""
    planes = np.ascontiguousarray(frame, dtype="<u4").view(np.uint8)
    return np.ascontiguousarray(planes.reshape(*frame.shape, 4)[..., 2::-1])


def as_on_tube(frame: NDArray[np.uint32], fmt: Format) -> Bytes:
    """``uint8[height, width, 3]`` of the exact analogue picture in square pixels: 648 × 486 (525), 768 × 576 (625).

    What lies outside the analogue picture is cut off, what the coded rows leave out of it is black; rows are
    repeated, samples interpolated between neighbours.
    """
    height = fmt.line_system.picture_lines
    area, width = Area.of(fmt), height * 4 // 3
    places = area.left + (np.arange(width) + 0.5) * (area.width / width) - 0.5
    rows = np.floor(area.top + (np.arange(height) + 0.5) * (area.height / height)).astype(int)
    lines = np.vstack([_interpolated(channels(frame), places), np.zeros((1, width, 3), np.uint8)])
    return lines[np.where((rows >= 0) & (rows < fmt.lines), rows, fmt.lines)]


def _interpolated(planes: Bytes, places: Floats) -> Bytes:
    left = np.clip(np.floor(places).astype(int), 0, planes.shape[1] - 2)
    share = (places - left)[None, :, None].astype(np.float32)
    mixed = planes[:, left] * (1 - share) + planes[:, left + 1] * share
    whole: Bytes = np.floor(mixed + 0.5).astype(np.uint8)
    return whole
