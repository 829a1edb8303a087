"""YAML as a tree of nodes that know their lines. Nothing is guessed: a scalar stays the text that was written.

YAML's own reading of plain words is what it is kept from: ``no`` is false there, ``010`` eight, ``12:30`` seven
hundred and fifty, and of two equal keys the second wins without a word (YAML 1.1, §§ 2.4 and 10; PyYAML does so).
"""

import stat
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from appliance.errors import Refused

LARGEST = 256 * 1024
"""Bytes of the largest file read: a hundred times what a person writes, and soon parsed on a slow board."""

DEEPEST = 16
"""Levels of lists and groups; the deepest file that ships has four."""

# The loader in C is ten times as quick, and not everywhere.
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass
class Scalar:
    """A word or number as written; ``line`` counts from 1."""

    line: int
    text: str


@dataclass
class Items:
    """A list."""

    line: int
    nodes: "list[Node]" = field(default_factory=list)


@dataclass
class Group:
    """Keys and their values, in order; a key written twice stands twice."""

    line: int
    pairs: "list[tuple[Scalar, Node]]" = field(default_factory=list)


Node = Scalar | Items | Group


def read_nodes(path: Path, remedy: str = "") -> Node:
    """The file's one document; ``remedy`` is what else a person can do about an empty file.

    Raises :class:`Refused`, with file and line, when it cannot be read as plain YAML.
    """
    text = _read_text(path)
    try:
        root = _build(_events(text, path), path)
    except yaml.YAMLError as error:
        raise Refused(_yaml_trouble(error, path)) from error
    if root is None:
        raise Refused(f"{path}: empty; keys and values are wanted" + (f" ({remedy})" if remedy else ""))
    return root


def _read_text(path: Path) -> str:
    try:
        regular = stat.S_ISREG(path.stat().st_mode)
        data = _beginning(path) if regular else b""  # opening a pipe would wait for its other end
    except (OSError, ValueError) as error:  # ValueError: a name with a zero byte in it
        raise Refused(f"{path}: cannot be read: {getattr(error, 'strerror', None) or error}") from error
    if not regular:
        raise Refused(f"{path}: is no regular file; write a file of keys and values in its place, or take it away")
    if len(data) > LARGEST:
        raise Refused(f"{path}: larger than {LARGEST // 1024} KiB; a file of keys and values is wanted")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise Refused(f"{path}:{line}: byte 0x{data[error.start]:02x} is no text; UTF-8 text is wanted") from error


def _beginning(path: Path) -> bytes:
    """As much as tells whether the file is too large."""
    with path.open("rb") as file:
        return file.read(LARGEST + 1)


def _events(text: str, path: Path) -> Iterator[Any]:
    """The parser's events between the ends of the one document, each plain: no anchors, aliases, tags."""
    started = False
    for event in yaml.parse(text, Loader=_LOADER):
        if isinstance(event, yaml.DocumentStartEvent):
            if started:
                raise Refused(f"{path}:{_line(event)}: a second document begins; one is wanted")
            started = True
        elif isinstance(event, yaml.NodeEvent):
            _refuse_fancy(event, path)
            yield event
        elif isinstance(event, yaml.CollectionEndEvent):
            yield event


def _refuse_fancy(event: Any, path: Path) -> None:
    if event.anchor is not None:
        raise Refused(f"{path}:{_line(event)}: an anchor or alias ({event.anchor!r}); write the value out instead")
    if event.tag is not None:
        raise Refused(f"{path}:{_line(event)}: a tag ({event.tag!r}); write the plain value instead")


def _build(events: Iterator[Any], path: Path) -> Node | None:
    """The tree, built without recursion so that no file is too deep for the stack; None of nothing."""
    root = Items(1)
    open_nodes: list[tuple[Items | Group, Scalar | None]] = [(root, None)]
    for event in events:
        if isinstance(event, yaml.CollectionEndEvent):
            open_nodes.pop()
            continue
        node = _node(event)
        _hang(open_nodes, node, path)
        if not isinstance(node, Scalar):
            open_nodes.append((node, None))
        if len(open_nodes) > DEEPEST:
            raise Refused(f"{path}:{node.line}: more than {DEEPEST} levels deep; far fewer are wanted")
    return root.nodes[0] if root.nodes else None


def _node(event: Any) -> Node:
    if isinstance(event, yaml.ScalarEvent):
        return Scalar(_line(event), event.value)
    return (Items if isinstance(event, yaml.SequenceStartEvent) else Group)(_line(event))


def _hang(open_nodes: list[tuple[Items | Group, Scalar | None]], node: Node, path: Path) -> None:
    """Put ``node`` where the parser stands: into a list, or into a group as the next key or its value."""
    parent, key = open_nodes[-1]
    if isinstance(parent, Items):
        parent.nodes.append(node)
    elif key is not None:
        parent.pairs.append((key, node))
        open_nodes[-1] = (parent, None)
    elif isinstance(node, Scalar):
        open_nodes[-1] = (parent, node)
    else:
        raise Refused(f"{path}:{node.line}: a list or a group where the name of a key is wanted")


def _line(event: Any) -> int:
    return int(event.start_mark.line) + 1


def _yaml_trouble(error: yaml.YAMLError, path: Path) -> str:
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    what = getattr(error, "problem", None) or getattr(error, "reason", None) or "cannot be read"
    place = f"{path}:{mark.line + 1}" if mark else f"{path}"
    return f"{place}: not YAML: {' '.join(str(what).split())}; lines such as 'key: value' are wanted"
