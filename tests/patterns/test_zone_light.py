"""Light a zone, against the frames themselves, sample by sample."""

from fractions import Fraction

import numpy as np
import pytest
from numpy.typing import NDArray

from appliance.patterns.catalogue import find_pattern
from appliance.patterns.picture import Picture
from appliance.patterns.zone_light import zone_light
from appliance.video.formats import FORMATS, Format
from appliance.video.light import PRIMARIES_525, PRIMARIES_625
from appliance.video.zones import zone_at

Floats = NDArray[np.float64]

PICTURES = (
    ("pan:slow", True), ("pan:quick", True), ("white:75", False), ("bounce:faded", True), ("red:100", False),
    ("moving-crosshatch:slantwise", True), ("moving-block:white-on-black", True), ("bars:100/0/100/0", False),
    ("crosshatch:white", False), ("load-steps:60", True), ("moving-bars:across", True),
)  # fmt: skip


def weights(primaries: tuple[tuple[Fraction, Fraction], ...]) -> Floats:
    """Luminance of red, green and blue by solving for D65 (SMPTE RP 177; here by numpy's solver)."""
    columns = np.array([[float(x / y), 1.0, float((1 - x - y) / y)] for x, y in primaries]).T
    x, y = 0.3127, 0.3290
    solved: Floats = np.linalg.solve(columns, np.array([x / y, 1.0, (1 - x - y) / y]))
    return solved


def period(picture: Picture) -> int:
    """Fields until the picture is where it began, by trying."""
    if picture.turns:
        return picture.turns.period
    return next(n for n in range(1, 100_000) if picture.at(n) == picture.at(0))


def zone_map(fmt: Format) -> NDArray[np.intp]:
    """The zone, from 0, of each sample, by its middle."""
    across = np.array([zone_at(fmt, x + Fraction(1, 2), 0) - 1 for x in range(fmt.samples)])
    down = np.array([zone_at(fmt, 0, y + Fraction(1, 2)) - 1 for y in range(fmt.lines)])
    zones: NDArray[np.intp] = (down[:, None] + across).astype(np.intp)
    return zones


def integrated(fmt: Format, picture: Picture, fields: range) -> tuple[float, float, list[float]]:
    """Signal, light and light a zone, field after field and sample after sample."""
    zones, signal, total = zone_map(fmt), 0.0, np.zeros(9)
    counts = np.bincount(zones.ravel(), minlength=9)
    gains = weights(PRIMARIES_525 if fmt.line_system.name == "525" else PRIMARIES_625)
    power = (np.arange(256) / 255) ** 2.4
    for field in fields:
        frame = picture.field(field, fmt.lines, fmt.samples)
        guns = [frame >> shift & 255 for shift in (16, 8, 0)]
        lit = sum(gain * power[gun] for gain, gun in zip(gains, guns, strict=True))
        total += np.bincount(zones.ravel(), np.asarray(lit).ravel(), 9)
        signal += sum(gain * float(gun.mean()) / 255 for gain, gun in zip((0.299, 0.587, 0.114), guns, strict=True))
    each = total / counts / len(fields)
    return signal / len(fields), float(total.sum() / counts.sum() / len(fields)), each.tolist()


@pytest.mark.parametrize(
    ("format_name", "name", "moving"),
    [*(("240p", *picture) for picture in PICTURES), ("576i", "pan:slow", True), ("576i", "red:100", False)],
)
def test_against_the_frames_as_shown(format_name: str, name: str, moving: bool) -> None:
    """The mean over a whole period, gun by gun to the power 2.4 (BT.1886), to a thousandth and a half.

    Every sixth field of a long period is enough, and the zones are cut between samples here, through them there.
    """
    fmt = FORMATS[format_name]
    entry, variant = find_pattern(name)
    picture = entry.draw(fmt, variant)
    whole = period(picture) if moving else 1
    step = 1 if picture.turns or whole < 100 else 6
    signal, light, zones = integrated(fmt, picture, range(0, whole, step))
    got = zone_light(fmt, picture, moving=moving)
    assert got.light == pytest.approx(light, abs=0.0015)
    assert got.signal == pytest.approx(signal, abs=0.0015)
    assert got.zones == pytest.approx(zones, abs=0.006)


def test_white_is_one_everywhere() -> None:
    """The unit."""
    entry, variant = find_pattern("white:100")
    got = zone_light(FORMATS["480i"], entry.draw(FORMATS["480i"], variant), moving=False)
    assert (got.signal, got.light) == pytest.approx((1, 1))
    assert got.zones == pytest.approx((1,) * 9)
