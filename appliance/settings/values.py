"""What a single value may be: each kind turns the text as written into a value, or says what is allowed.

They stand in ``Annotated`` beside the type of a field; :mod:`appliance.settings.reader` calls them.
"""

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Protocol

_WHOLE = re.compile(r"0|-?[1-9][0-9]{0,8}")


class Value(Protocol):
    """One kind of value."""

    allowed: str
    """What may be written, for people, as in "a whole number from 1 to 60"."""

    def convert(self, text: str) -> object:
        """The value; raises ``ValueError`` for any text that is not allowed."""


@dataclass(frozen=True)
class Whole:
    """A whole number in decimal, without leading noughts, underscores or colons, within bounds."""

    low: int
    high: int
    unit: str = ""

    @property
    def allowed(self) -> str:
        """As in :class:`Value`."""
        return f"a whole number{' of ' + self.unit if self.unit else ''} from {self.low} to {self.high}"

    def convert(self, text: str) -> int:
        """As in :class:`Value`."""
        if not _WHOLE.fullmatch(text) or not self.low <= int(text) <= self.high:
            raise ValueError(text)
        return int(text)


@dataclass(frozen=True)
class OrNone:
    """Another kind of value, or the word ``none``."""

    kind: Value

    @property
    def allowed(self) -> str:
        """As in :class:`Value`."""
        return f"{self.kind.allowed}, or none"

    def convert(self, text: str) -> object:
        """As in :class:`Value`; ``None`` for ``none``."""
        return None if text == "none" else self.kind.convert(text)


class Truth:
    """``true`` or ``false``, and no other way to say so."""

    allowed = "true or false"

    def convert(self, text: str) -> bool:
        """As in :class:`Value`."""
        return {"true": True, "false": False}[text]


class Word:
    """One word of a list."""

    def __init__(self, *words: str) -> None:
        self.words = words
        self.allowed = "one of " + ", ".join(words)

    def convert(self, text: str) -> str:
        """As in :class:`Value`."""
        if text not in self.words:
            raise ValueError(text)
        return text


@dataclass(frozen=True)
class Shaped:
    """Text that matches ``pattern`` as a whole."""

    pattern: str
    allowed: str

    def convert(self, text: str) -> str:
        """As in :class:`Value`."""
        if not re.fullmatch(self.pattern, text, re.ASCII):
            raise ValueError(text)
        return text


class KernelKey:
    """The kernel's name of a key or button; ``kernel_keys.txt`` lists them, and their source."""

    allowed = "a key's name in the kernel, such as KEY_KP1,"

    def convert(self, text: str) -> str:
        """As in :class:`Value`."""
        if text not in kernel_keys():
            raise ValueError(text)
        return text

    def nearest(self, text: str) -> str:
        """The name there is that looks most like ``text``."""
        import difflib

        return difflib.get_close_matches(text[:40].upper(), kernel_keys(), 1, 0.0)[0]


@cache
def kernel_keys() -> dict[str, None]:
    """Every name of a key, in the kernel's order."""
    lines = Path(__file__).with_name("kernel_keys.txt").read_text("ascii").splitlines()
    return dict.fromkeys(line for line in lines if not line.startswith("#"))


class Folder:
    """The full name of a folder, from ``/`` on."""

    allowed = "the full name of a folder, beginning with /"

    def convert(self, text: str) -> Path:
        """As in :class:`Value`."""
        if not text.startswith("/") or not text.isprintable():
            raise ValueError(text)
        return Path(text)
