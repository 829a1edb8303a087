"""How bright a picture is in each zone, over its time: the mean of the signal and of the linear light."""

from fractions import Fraction
from functools import cache
from math import gcd, lcm
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from appliance.patterns.picture import Frame, Picture, Way
from appliance.video.colour import luma
from appliance.video.formats import Format
from appliance.video.levels import CODES
from appliance.video.light import luminance
from appliance.video.zones import ZONES, Rectangle, zone

_Floats = NDArray[np.float64]


class ZoneLight(NamedTuple):
    """Shares of full white, 0 to 1: of the whole frame's signal and light, and of the light of zones 1 to 9."""

    signal: float
    light: float
    zones: tuple[float, ...]


def zone_light(fmt: Format, picture: Picture, *, moving: bool) -> ZoneLight:
    """The means of what the screen shows: of the first field of a still picture, of a whole period of a moving one.

    Light is that of :mod:`appliance.video.light`. The means are of the frame, blanking left out.
    """
    whole = Rectangle(Fraction(0), Fraction(0), Fraction(fmt.samples), Fraction(fmt.lines))
    places = _places(picture.way) if moving else [(0, 0)]
    signal = light = 0.0
    zones = np.zeros(len(ZONES))
    for index, share in _shares(picture, moving):
        frame = picture.frames[index]
        signal += share * _mean(_summed(_signal(frame)), whole, places)
        lit = _summed(_light(fmt, frame))
        light += share * _mean(lit, whole, places)
        zones += share * np.array([_mean(lit, zone(fmt, number), places) for number in ZONES])
    return ZoneLight(signal, light, tuple(min(max(float(part), 0.0), 1.0) for part in zones))


def _shares(picture: Picture, moving: bool) -> list[tuple[int, float]]:
    """Index of each frame shown, and its share of the time."""
    if not moving or picture.turns is None:
        return [(picture.index(0), 1.0)]
    return [(index, fields / picture.turns.period) for index, fields in picture.turns.shown]


def _places(way: Way | None) -> list[tuple[int, int]]:
    """The window's corners over one whole period."""
    if way is None:
        return [(0, 0)]
    turns = [period // gcd(step, period) for step, period in ((way.dx, way.period_x), (way.dy, way.period_y))]
    return [way.at(field) for field in range(lcm(*turns))]


def _signal(frame: Frame) -> _Floats:
    return _by_gun(frame, _signal_tables())


def _light(fmt: Format, frame: Frame) -> _Floats:
    return _by_gun(frame, _light_tables(fmt))


# By the code of each gun, full white being 1; kept, since exact fractions cost more than a whole frame.


@cache
def _signal_tables() -> _Floats:
    return np.array([[float(luma(_gun(n, code))) for code in range(CODES + 1)] for n in range(3)])


@cache
def _light_tables(fmt: Format) -> _Floats:
    return np.array([[luminance(fmt, _gun(n, code)) for code in range(CODES + 1)] for n in range(3)])


def _gun(number: int, code: int) -> tuple[int, int, int]:
    return (code if number == 0 else 0, code if number == 1 else 0, code if number == 2 else 0)


def _by_gun(frame: Frame, tables: _Floats) -> _Floats:
    red, green, blue = tables
    total: _Floats = red[frame >> 16 & 255] + green[frame >> 8 & 255] + blue[frame & 255]
    return total


def _summed(values: _Floats) -> _Floats:
    """Sums of all above and to the left, so that any rectangle's is four of them."""
    sums = np.zeros((values.shape[0] + 1, values.shape[1] + 1))
    sums[1:, 1:] = values.cumsum(0).cumsum(1)
    return sums


def _mean(sums: _Floats, part: Rectangle, places: list[tuple[int, int]]) -> float:
    """Mean over ``part`` of the window and over the window's places; a sample cut by the edge counts by its share."""
    at = np.array(places, float)
    left, right = at[:, 0] + float(part.left), at[:, 0] + float(part.right)
    top, bottom = at[:, 1] + float(part.top), at[:, 1] + float(part.bottom)
    total = _upto(sums, bottom, right) - _upto(sums, top, right) - _upto(sums, bottom, left) + _upto(sums, top, left)
    return float((total / ((right - left) * (bottom - top))).mean())


def _upto(sums: _Floats, down: _Floats, across: _Floats) -> _Floats:
    rows, columns = np.minimum(down.astype(int), sums.shape[0] - 2), np.minimum(across.astype(int), sums.shape[1] - 2)
    low, right = down - rows, across - columns
    above = sums[rows, columns] * (1 - right) + sums[rows, columns + 1] * right
    below = sums[rows + 1, columns] * (1 - right) + sums[rows + 1, columns + 1] * right
    total: _Floats = above * (1 - low) + below * low
    return total
