"""What an activity wants on the screen and the lamps."""

from dataclasses import dataclass, field

from appliance.activities.blink import DARK, LIT, Blink

BLACK = ("black", "0")
"""Pattern and variant of black with sync: the way out."""


@dataclass(frozen=True)
class Caption:
    """Two lines of text over a still picture, ``high`` or low on the screen, gone after some seconds."""

    lines: tuple[str, ...]
    high: bool = False

    @property
    def text(self) -> str:
        """The lines joined by a line feed."""
        return "\n".join(self.lines)


@dataclass(frozen=True)
class Signals:
    """How the three lamps blink."""

    ready: Blink = LIT
    running: Blink = DARK
    attention: Blink = DARK


@dataclass(frozen=True)
class Code:
    """A page of text to be photographed off the screen as a square code: ``page`` of ``pages`` of a visit."""

    text: str
    visit: int
    page: int
    pages: int


@dataclass(frozen=True)
class Showing:
    """The picture, whether it moves, the words over it, the lamps.

    ``ahead`` is what may have to come up at once; ``sound`` the side of a tone: left, right, both, or none; ``large`` a
    number in the middle of the picture, to be read off a photograph; ``code`` goes before the picture.
    """

    pattern: str
    variant: str
    moving: bool = False
    caption: Caption | None = None
    count: str = ""
    signals: Signals = field(default_factory=Signals)
    ahead: tuple[str, str] | None = None
    sound: str = ""
    large: str = ""
    code: Code | None = None
