"""Where the box is, as it is remembered, and the times that the settings give it."""

from dataclasses import dataclass

from appliance.settings.tree import Choice


@dataclass(frozen=True)
class Place:
    """What is remembered over a power cut."""

    choice: Choice
    pattern: str
    variant: str


@dataclass(frozen=True)
class Times:
    """Seconds: of white stress, of each purity field after it, of a caption."""

    stress: int = 10
    purity: float = 10
    caption: float = 4
