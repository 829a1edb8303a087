"""Sound: a tone on one or both sides over a dim picture."""

from appliance.drawing.colours import WHITE, at_level
from appliance.drawing.frames import flat
from appliance.patterns.picture import Picture
from appliance.patterns.registry import pattern
from appliance.video.formats import Format


@pattern(
    "tone",
    "sound",
    "Tone 1 kHz",
    "go: from the right side?",
    ("both", "left", "right"),
    sounding=True,
    stands=None,  # even all over, and dim
    finds=("sound",),
)
def tone(fmt: Format, variant: str) -> Picture:  # noqa: ARG001 - the signature of a pattern
    """A dim grey field, so that buzz by bright captions does not mix in; the tone is made by the box."""
    return Picture(flat(fmt, at_level(WHITE, 0.1)))
