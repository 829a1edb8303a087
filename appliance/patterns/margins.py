"""Geometry: what of the picture is hidden, by frame lines and by scales in percent of the exact picture."""

from appliance.drawing.area import Area
from appliance.drawing.colours import WHITE, at_level
from appliance.drawing.frames import Part, Words, composed, levels, sharp_row, uprights
from appliance.lettering.atlas import MARGIN
from appliance.lettering.writing import coverage, lay
from appliance.patterns.grid import Grid, middle_row
from appliance.patterns.picture import Picture
from appliance.patterns.registry import pattern
from appliance.video.formats import Format

FAMILY = "geometry"
GREY = at_level(WHITE, 0.75)
NUMBER_GREY = 191
"""75 % as a code."""

FRAMES: dict[str, tuple[float, ...]] = {"all": (0.98, 0.9, 0.8), "98": (0.98,), "90": (0.9,), "80": (0.8,)}
"""Percent of the exact picture's width and height that the lines enclose: 90 action-safe, 80 title-safe."""


def rectangle(fmt: Format, share: float) -> list[Part]:
    """Four lines about ``share`` of the exact picture, horizontals at the nearest whole rows."""
    area, edge = Area.of(fmt), (1 - share) / 2
    left, right = area.x(edge), area.x(1 - edge)
    above, below = (sharp_row(fmt, area.y(share)) for share in (edge, 1 - edge))
    reach = fmt.lines_per_row / 2
    return [
        levels(fmt, (above, below), (left, right), GREY),
        uprights(fmt, (left, right), (above - reach, below + reach), GREY),
    ]


@pattern(
    "frame",
    FAMILY,
    "Frame lines",
    "Even margins, straight sides",
    tuple(FRAMES),
    finds=("off-centre", "overscan", "narrow", "tilt", "trapezium", "bow"),
)
def frame(fmt: Format, variant: str) -> Picture:
    """Lines about 98, 90 and 80 % of the picture, together and singly."""
    return Picture(composed(fmt, [part for share in FRAMES[variant] for part in rectangle(fmt, share)]))


SIDES = ("left", "right", "top", "bottom")
LAST_PERCENT = 20


LONG = [percent for percent in range(1, LAST_PERCENT + 1) if percent % 5 == 0]
SHORT = [percent for percent in range(1, LAST_PERCENT + 1) if percent % 5]


def _share(side: str, percent: int) -> float:
    """Share of the picture's width or height, from the left or the top, of a mark so far in from its side."""
    return percent / 100 if side in {"left", "top"} else 1 - percent / 100


def _marks(fmt: Format, side: str, percents: list[int], half: float) -> Part:
    """Marks ``half`` rows high, or as long on the tube, to both sides of the side's axis."""
    area, middle, shares = Area.of(fmt), middle_row(fmt), [_share(side, percent) for percent in percents]
    if side in {"left", "right"}:
        return uprights(fmt, [area.x(share) for share in shares], (middle - half, middle + half), WHITE)
    reach = half / area.aspect
    places = [sharp_row(fmt, area.y(share)) for share in shares]
    return levels(fmt, places, (area.centre_x - reach, area.centre_x + reach), WHITE)


def _label_place(area: Area, side: str, percent: int, size: tuple[int, int]) -> tuple[int, int]:
    """Sample and row of a number's box of ``size`` samples × rows, in turn on one and the other side of the axis."""
    wide, high = size
    share = _share(side, percent)
    first = percent % 10 == 5
    if side in {"left", "right"}:
        away = 0.04 * area.height
        row = area.centre_y - away - high if first else area.centre_y + away
        return round(area.x(share) - wide / 2), round(row)
    away = 0.05 * area.width
    sample = area.centre_x - away - wide if first else area.centre_x + away
    return round(sample), round(area.y(share) - high / 2)


def _number(words: Words, fmt: Format, area: Area, sides: tuple[str, ...]) -> None:
    """The numbers at the long marks; each is lettered once and laid at every side."""
    for percent in LONG:
        shares = coverage(str(percent), fmt)
        high, wide = shares.shape[0], shares.shape[1] - 2 * MARGIN
        for side in sides:
            x, y = _label_place(area, side, percent, (wide, high))
            lay(words, shares, x - MARGIN, y, NUMBER_GREY)


def _crosshatch(fmt: Format) -> list[Part]:
    grid, dim = Grid.of(fmt, "coarse"), at_level(WHITE, 0.35)
    return [
        uprights(fmt, grid.columns.tolist(), (0.0, float(fmt.lines)), dim),
        levels(fmt, grid.rows.tolist(), (-20.0, fmt.samples + 20.0), dim),
    ]


@pattern(
    "scales",
    FAMILY,
    "Edge scales in percent",
    "First mark seen on each side",
    ("all", "crosshatch", *SIDES),
    finds=("overscan", "off-centre", "small-bright", "big-dim"),
)
def scales(fmt: Format, variant: str) -> Picture:
    """Marks at every percent from 1 to 20 of the exact picture, in from each side or from one; a cross at the centre.

    Horizontal marks lie at the nearest whole rows. ``crosshatch`` has the coarse one dimly beneath.
    """
    area, middle = Area.of(fmt), middle_row(fmt)
    sides = (variant,) if variant in SIDES else SIDES
    arm = 0.03 * area.height
    cross = [
        uprights(fmt, [area.centre_x], (middle - arm, middle + arm), WHITE),
        levels(fmt, [middle], (area.centre_x - arm / area.aspect, area.centre_x + arm / area.aspect), WHITE),
    ]
    long, short = 0.035 * area.height, 0.015 * area.height
    marks = [_marks(fmt, side, *size) for side in sides for size in ((LONG, long), (SHORT, short))]
    words = composed(fmt, cross + marks + (_crosshatch(fmt) if variant == "crosshatch" else []))
    _number(words, fmt, area, sides)
    return Picture(words)
