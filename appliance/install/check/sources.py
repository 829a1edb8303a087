"""Where a check looks. Handed in, so that a test can be any machine."""

import importlib
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from appliance.hardware.screens.describe import describe


def find_module(name: str) -> Any:
    """A module of another package, or None where it is not installed or does not load."""
    try:
        return importlib.import_module(name)
    except ImportError:
        return None


@dataclass(frozen=True)
class Sources:
    """``root`` holds proc/, sys/, etc/, boot/ and dev/; ``cards`` tells of graphics cards as ``screens.describe`` does;
    ``gpiod`` and ``evdev`` are the bindings, or None."""

    root: Path = Path("/")
    cards: Callable[[], list[dict[str, Any]]] = describe
    gpiod: Any = field(default_factory=lambda: find_module("gpiod"))
    evdev: Any = field(default_factory=lambda: find_module("evdev"))

    def text(self, name: str) -> str:
        """A small file's text, or ""."""
        try:
            return (self.root / name).read_text("utf-8", "replace")
        except OSError:
            return ""
