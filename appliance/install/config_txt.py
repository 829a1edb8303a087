"""``config.txt``: what a board needs is merged in, and can be taken out again to the last byte.

The existing line of the display's overlay is edited where it stands, so that it keeps its section and what a person
added to it; all else goes into a block at the end. Both carry marks, so that the text itself says how it was. Sections
are read as the Raspberry Pi documentation has them ("Conditional filters": ``[all]`` resets; one filter of a model
replaces another; filters of different kinds must all hold). Pure: text in, text out.
"""

import re
from collections.abc import Iterable, Iterator

from appliance.install.board import Board

_WAS = "#fieldmouse.was="
_BEGIN = "# fieldmouse: begin (written by 'fieldmouse install', taken out by 'fieldmouse uninstall')"
_BEGIN_BARE = "# fieldmouse: begin, after a line without an end"
_END = "# fieldmouse: end"

_MODELS = {"pi0", "pi0w", "pi02", "pi1", "pi2", "pi3", "pi3+", "pi4", "pi400", "pi5", "pi500", "cm0", "cm1", "cm3",
           "cm3+", "cm4", "cm4s", "cm5"}  # fmt: skip
_SECTION = re.compile(r"[ \t]*\[([^\]\r\n]*)\][ \t\r]*")
_DISPLAY = re.compile(r"[ \t]*dtoverlay[ \t]*=[ \t]*vc4-f?kms-v3d(?:-pi[45])?((?:,[^,\s]+)*)[ \t\r]*")

_MARKED_LINE = re.compile(r"^#fieldmouse\.was=([^\n]*)(?:\n[ \t]*dtoverlay=vc4-kms-v3d[^\n]*)?", re.MULTILINE)
_MARKED_BLOCK = re.compile(
    r"(?:(\n)# fieldmouse: begin, after|^# fieldmouse: begin \()[^\n]*\n"
    r"(?:(?!# fieldmouse: (?:begin|end))[^\n]*\n)*# fieldmouse: end[^\n]*(?:\n|\Z)",
    re.MULTILINE,
)


def merge(text: str, board: Board) -> str:
    """``text`` with what ``board`` needs; merged once or often, it is the same."""
    lines = unmerge(text).split("\n")
    applies = list(_applying(lines, board.filters))
    merged = [_edit(line, board) if holds else line for line, holds in zip(lines, applies, strict=True)]
    there = any(holds and _DISPLAY.fullmatch(line) for line, holds in zip(lines, applies, strict=True))
    return _append("\n".join(merged), _block(board, there))


def unmerge(text: str) -> str:
    """``text`` without anything :func:`merge` put in, every other byte as it was."""
    while True:
        bare = _MARKED_BLOCK.sub(_leave, _MARKED_LINE.sub(r"\1", text))
        if bare == text:
            return text
        text = bare


def _leave(block: re.Match[str]) -> str:
    """What stays of a block: a line end, where it follows one that was not there and something follows it."""
    return block[1] if block[1] and block.end() < len(block.string) else ""


def _applying(lines: Iterable[str], filters: tuple[str, ...]) -> Iterator[bool]:
    """For each line, whether it may hold on a board with these filters; filters not of a model may hold."""
    model, never = None, False
    for line in lines:
        section = _SECTION.fullmatch(line)
        name = section[1].strip() if section else None
        if name == "all":
            model, never = None, False
        elif name == "none":
            never = True
        elif name in _MODELS:
            model = name
        yield not never and (model is None or model in filters)


def _edit(line: str, board: Board) -> str:
    """A line of the display's overlay with the board's parameters, under a note of what it was; another as it is."""
    found = _DISPLAY.fullmatch(line)
    if not found:
        return line
    kept = [word for word in found[1].split(",")[1:] if word not in board.parameters]
    end = "\r" if line.endswith("\r") else ""
    return f"{_WAS}{line}\n{_overlay(board, kept)}{end}"


def _overlay(board: Board, kept: Iterable[str] = ()) -> str:
    return ",".join((f"dtoverlay={board.overlay}", *kept, *board.parameters))


def _block(board: Board, there: bool) -> list[str]:
    """The lines of the block. An overlay is closed by an empty one: parameters of other things may follow."""
    overlay = [] if there else [_overlay(board), "dtoverlay="]
    return ["[all]", *overlay, *board.config, _END]


def _append(text: str, block: list[str]) -> str:
    end = "\r\n" if "\r\n" in text else "\n"
    bare = bool(text) and not text.endswith("\n")
    lines = [_BEGIN_BARE if bare else _BEGIN, *block]
    return text + ("\n" if bare else "") + end.join(lines) + end
