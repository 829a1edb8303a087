"""Where the picture lies in a frame.

The analogue active picture is 710.85 × 243 (486) or 702 × 288 (576) and sits in the middle of the 720 samples and
the coded rows. What is drawn on it looks the same in 525 and 625 lines.

>>> from appliance.video.formats import FORMATS
>>> area = Area.of(FORMATS["576i"])
>>> area.left, area.width, area.top, area.height
(9.0, 702.0, 0.0, 576.0)
"""

from dataclasses import dataclass
from functools import cache

from appliance.video.formats import Format


@dataclass(frozen=True)
class Area:
    """The exact picture in samples and rows of the frame; ``aspect`` is a sample's width over a row's height."""

    centre_x: float
    centre_y: float
    width: float
    height: float
    aspect: float

    @classmethod
    @cache  # exact fractions cost more than drawing a line does
    def of(cls, fmt: Format) -> "Area":
        """The area of a format's frame."""
        return cls(
            fmt.samples / 2,
            fmt.lines / 2,
            float(fmt.line_system.active_samples),
            float(fmt.picture_lines),
            float(fmt.pixel_aspect),
        )

    @property
    def left(self) -> float:
        """Sample of the picture's left edge."""
        return self.centre_x - self.width / 2

    @property
    def top(self) -> float:
        """Row of the picture's upper edge; below 0 where the coded rows leave some of it out."""
        return self.centre_y - self.height / 2

    def x(self, share: float) -> float:
        """Sample at ``share`` (0 … 1) of the picture's width."""
        return self.left + share * self.width

    def y(self, share: float) -> float:
        """Row at ``share`` (0 … 1) of the picture's height."""
        return self.top + share * self.height
