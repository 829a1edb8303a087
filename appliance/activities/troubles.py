"""What can be wrong with the box itself, and the count the attention lamp blinks for it."""

from enum import IntEnum


class Trouble(IntEnum):
    """The number is the lamp's count; the lower one is shown when there are several."""

    SETTINGS = 1
    NO_CONNECTOR = 2
    CARD = 3
    KEYS = 4
    PICTURE = 5
    KEEPING = 6
    HEALTH = 7
    WEAR = 8


WORDS = {
    Trouble.SETTINGS: "the settings file is wrong; built-in settings are used",
    Trouble.NO_CONNECTOR: "no composite connector",
    Trouble.CARD: "the display card is held by another program or refused the picture",
    Trouble.KEYS: "keys or pad cannot be read",
    Trouble.PICTURE: "a pattern could not be drawn",
    Trouble.KEEPING: "nothing is kept: the storage is full or read-only",
    Trouble.HEALTH: "undervoltage or heat",
    Trouble.WEAR: "a part of the tube has had much more light than the one beside it",
}
"""For log lines and the table of lamp codes."""
