"""A YAML file into a frozen dataclass, strictly: each value by the type its field declares, each mistake with its line.

The dataclass is the grammar. A field's type is another dataclass (a group of keys), ``tuple[X, ...]`` (a list),
``Mapping[K, X]`` (free keys) or ``Annotated[type, Value]`` (a single value, see :mod:`appliance.settings.values`).

What the file does not say is taken from a base. Mistakes are collected, so that one reading tells how many there are.
"""

import dataclasses
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Annotated, Any, NamedTuple, TypeVar, get_args, get_origin, get_type_hints

from appliance.errors import Refused
from appliance.settings.nodes import Group, Items, Node, Scalar, read_nodes
from appliance.settings.values import KernelKey, Value

T = TypeVar("T")
Place = tuple[str, ...]
"""The keys that lead to a value, from the outermost in; an item of a list counts from 1."""


class Mistake(NamedTuple):
    """What a check found wrong: the value's place, what is wrong and allowed.

    Where two values disagree, ``instead`` says it from the other's side, for a file that holds only that one.
    """

    place: Place
    what: str
    instead: "Mistake | None" = None


Said = str | Callable[[], str]
"""What is wrong; a function where it takes time to find the words, for only one mistake is told."""

Check = Callable[[T], Iterable[Mistake]]


def read(path: Path, kind: type[T], base: T | None = None, check: Check[T] = lambda _: (), *, remedy: str = "") -> T:
    """The file as ``kind``; keys it leaves out as in ``base``, and required when there is none.

    ``check`` finds what no single value shows, once all of them are right by themselves. ``remedy``: what else a
    person can do about an empty file. Raises :class:`Refused` as ``file:line: key: what is wrong, what is allowed``,
    the first mistake and how many more there are.
    """
    reading = _Reading()
    value = reading.value(kind, read_nodes(path, remedy), base, ())
    if not reading.mistakes:
        for mistake in check(value):
            reading.blame(mistake)
    if reading.mistakes:
        raise Refused(_first(path, reading.mistakes))
    return value  # type: ignore[no-any-return] # built by the grammar that kind is


class _Reading:
    def __init__(self) -> None:
        self.mistakes: list[tuple[int, Place, Said]] = []
        self.lines: dict[Place, int] = {}

    def note(self, place: Place, what: Said, line: int | None = None) -> None:
        self.mistakes.append((self.lines.get(place, 1) if line is None else line, place, what))

    def blame(self, mistake: Mistake) -> None:
        """Note what a check found, at the place the file says it or at the nearest above."""
        said = mistake
        if mistake.place not in self.lines and mistake.instead and mistake.instead.place in self.lines:
            said = mistake.instead
        above = (said.place[:n] for n in range(len(said.place), 0, -1))
        self.note(said.place, said.what, next((self.lines[place] for place in above if place in self.lines), 1))

    def value(self, kind: Any, node: Node, base: Any, place: Place) -> Any:
        self.lines.setdefault(place, node.line)  # a value in a group has its key's line already
        if dataclasses.is_dataclass(kind):
            return self.fields(kind, node, base, place)
        if get_origin(kind) is Annotated:
            return self.single(get_args(kind)[1], node, base, place)
        if get_origin(kind) is tuple:
            return self.items(get_args(kind)[0], node, base, place)
        key_kind, item = get_args(kind)
        return self.free(key_kind, item, node, base, place)

    def single(self, value: Value, node: Node, base: Any, place: Place) -> Any:
        if not isinstance(node, Scalar):
            self.note(place, f"holds more than one value; {value.allowed} is wanted")
            return base
        try:
            return value.convert(node.text)
        except (ValueError, KeyError):
            text = node.text
            self.note(place, lambda: f"{_shown(text)}; {value.allowed} is wanted{_nearest(value, text)}")
            return base

    def items(self, kind: Any, node: Node, base: Any, place: Place) -> Any:
        if not isinstance(node, Items):
            self.note(place, f"{_described(node)}; a list is wanted")
            return base
        return tuple(self.value(kind, item, None, (*place, str(n))) for n, item in enumerate(node.nodes, 1))

    def free(self, key_kind: Any, kind: Any, node: Node, base: Any, place: Place) -> Any:
        found = dict(base or {})
        for key, child in self.pairs(node, place, "keys and values are wanted beneath it"):
            self.lines[*place, key.text] = key.line
            name = self.single(get_args(key_kind)[1], key, key.text, (*place, key.text))
            found[name] = self.value(kind, child, found.get(name), (*place, key.text))
        return found

    def fields(self, kind: Any, node: Node, base: Any, place: Place) -> Any:
        hints = get_type_hints(kind, include_extras=True)
        known = {field.name: hints[field.name] for field in dataclasses.fields(kind)}
        found = {name: getattr(base, name) for name in known} if base is not None else {}
        for key, child in self.pairs(node, place, f"its keys are wanted beneath it: {', '.join(known)}"):
            self.lines[*place, key.text] = key.line
            if key.text in known:
                found[key.text] = self.value(known[key.text], child, found.get(key.text), (*place, key.text))
            else:
                self.note((*place, key.text), _unknown(key.text, list(known)))
        missing = [name for name in known if name not in found]
        for name in missing:
            self.note((*place, name), "missing; it must be given", node.line)
        return base if missing else kind(**found)

    def pairs(self, node: Node, place: Place, wanted: str) -> list[tuple[Scalar, Node]]:
        """The group's keys and values; a node that is no group, and a key said twice, are noted."""
        if not isinstance(node, Group):
            self.note(place, f"{_described(node)}; {wanted}")
            return []
        first: dict[str, tuple[Scalar, Node]] = {}
        for key, child in node.pairs:
            kept, _ = first.setdefault(key.text, (key, child))
            if kept is not key:
                self.note((*place, key.text), f"written twice, first on line {kept.line}; keep one of them", key.line)
        return list(first.values())


def _unknown(name: str, known: list[str]) -> str:
    import difflib

    near = difflib.get_close_matches(name, known, 1, 0.0)
    return f"unknown; the nearest is {near[0]}, and there are {', '.join(known)}" if near else "unknown"


def _nearest(value: Value, text: str) -> str:
    return f"; the nearest is {value.nearest(text)}" if isinstance(value, KernelKey) else ""


def _described(node: Node) -> str:
    if isinstance(node, Scalar):
        return _shown(node.text)
    return "is a list" if isinstance(node, Items) else "is a group of keys"


def _shown(text: str) -> str:
    """The text as a message shows it: quoted, printable, on one line, not too long."""
    if not text:
        return "nothing is written"
    return f"is {text[:40]!r}{'…' if len(text) > 40 else ''}"


def _first(path: Path, mistakes: list[tuple[int, Place, Said]]) -> str:
    line, place, what = min(mistakes, key=lambda mistake: mistake[0])
    name = "".join(c if c.isprintable() else "?" for c in ".".join(place))[:80]
    more = f" (and {len(mistakes) - 1} more)" if len(mistakes) > 1 else ""
    return f"{path}:{line}: {name + ': ' if name else ''}{what if isinstance(what, str) else what()}{more}"
