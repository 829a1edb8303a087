"""Settings: YAML into frozen dataclasses, with file and line in every error.

>>> load().format
'240p'
"""

from pathlib import Path

from appliance.errors import Refused
from appliance.settings.checks import check
from appliance.settings.reader import read
from appliance.settings.tree import (
    CaptionSettings,
    Choice,
    DeviceKeys,
    Folders,
    GpioSettings,
    KeySettings,
    LampSettings,
    PadKeys,
    ScreenSettings,
    Settings,
    SingleKeys,
    StressSettings,
)
from appliance.shipped import shipped

OWN_FILE = Path("/etc/fieldmouse/fieldmouse.yaml")
"""The settings of an installed box."""

__all__ = [
    "OWN_FILE", "CaptionSettings", "Choice", "DeviceKeys", "Folders", "GpioSettings", "KeySettings", "LampSettings",
    "PadKeys", "ScreenSettings", "Settings", "SingleKeys", "StressSettings", "load", "load_or_default", "own_file",
]  # fmt: skip


def own_file(own: Path = OWN_FILE) -> Path | None:
    """The box's own settings file when it has one: what a command reads when no other file is named."""
    return own if own.exists() else None


def load(path: Path | None = None) -> Settings:
    """The keys of the file at ``path`` over those that ship; without a path those that ship.

    Raises :class:`Refused` as ``file:line: key: what is wrong, what is allowed``.
    """
    usual = read(shipped("config/fieldmouse.yaml"), Settings, check=check)
    if path is None:
        return usual
    return read(path, Settings, usual, check, remedy="leave the file away to have everything as it ships")


def load_or_default(path: Path | None) -> tuple[Settings, Refused | None]:
    """As :func:`load`, for a box that must come up: on a mistake the settings that ship, and the mistake."""
    try:
        return load(path), None
    except Refused as mistake:
        return load(), mistake
