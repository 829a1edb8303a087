"""Format: a picture that says itself what the lead carries, to see what arrives and whether the set locks to it."""

from appliance import lettering
from appliance.drawing.area import Area
from appliance.drawing.colours import WHITE, at_level
from appliance.drawing.frames import composed, uprights
from appliance.patterns.margins import rectangle
from appliance.patterns.picture import Picture
from appliance.patterns.registry import pattern
from appliance.video.formats import Format

UPRIGHTS = (0.2, 0.8)
LEVEL = 0.6


def words_of(fmt: Format) -> tuple[str, ...]:
    """The format's name, its lines, its field and line rates."""
    lines = f"{fmt.modeline.vtotal} lines in {'two fields' if fmt.interlaced else 'each field'}"
    return fmt.name, lines, f"{float(fmt.field_rate):.2f} fields a second", f"{float(fmt.line_rate):.0f} lines a second"


@pattern(
    "lead",
    "format",
    "Format on the lead",
    "go and vary: does it lock?",
    ("told", "plain"),
    worded=frozenset({"told"}),
    finds=("roll", "tear", "hook", "jump"),
)
def lead(fmt: Format, variant: str) -> Picture:
    """Frame lines at 90 %, two uprights that bend or slant while a set finds its lock, and the format's own figures.

    It is drawn anew in whatever format the keys bring, so what can be read is what has arrived.
    """
    area, grey = Area.of(fmt), at_level(WHITE, LEVEL)
    whole = (0.0, float(fmt.lines))
    words = composed(fmt, [*rectangle(fmt, 0.9), uprights(fmt, [area.x(share) for share in UPRIGHTS], whole, grey)])
    if variant == "told":
        lines = words_of(fmt)
        pitch = lettering.height(fmt)
        top = round(area.centre_y - pitch * (len(lines) + 1) / 2)
        for number, line in enumerate(lines):
            x = round(area.centre_x - lettering.width(line, fmt) / 2)
            lettering.write(words, fmt, line, x, top + number * pitch, paper=None)
    return Picture(words)
