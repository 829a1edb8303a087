"""Which board, and what its boot files need: data, one file a board in ``boards/``."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from appliance.errors import Refused
from appliance.settings.reader import read
from appliance.settings.values import Shaped

_HERE = Path(__file__).parent

_Text = Annotated[str, Shaped(r"\S.*", "text")]
_Word = Annotated[str, Shaped(r"[\w.+=-]+", "a word without spaces")]


@dataclass(frozen=True)
class Board:
    """What one kind of board needs.

    ``models`` are beginnings of the kernel's name for it, ``filters`` the sections of config.txt that hold on it;
    ``overlay`` with its ``parameters`` and the lines ``config`` go into config.txt, ``words`` into cmdline.txt.
    """

    name: _Text
    models: tuple[_Text, ...]
    filters: tuple[_Word, ...]
    overlay: _Word
    parameters: tuple[_Word, ...]
    config: tuple[_Word, ...]
    words: tuple[_Word, ...]
    sources: tuple[_Text, ...]


@dataclass(frozen=True)
class _Overlays:
    overlays: Mapping[_Word, tuple[_Word, ...]]


def read_overlays() -> Mapping[str, tuple[str, ...]]:
    """Each display overlay and the parameters it takes."""
    return read(_HERE / "overlays.yaml", _Overlays).overlays


def read_boards() -> dict[str, Board]:
    """Every board by the word that chooses it: ``zero``, ``zero2``, ``3``, ``4``, ``5``."""
    files = sorted((_HERE / "boards").glob("*.yaml"))
    return {file.stem: read(file, Board) for file in files}


def find_board(word: str, root: Path = Path("/")) -> Board:
    """The board chosen by ``word``, or for ``auto`` the one that the kernel under ``root`` says it runs on.

    Raises :class:`Refused` naming the boards there are.
    """
    boards = read_boards()
    if word == "auto":
        return _recognise(read_model(root), boards)
    if word not in boards:
        raise Refused(f"board {word!r}: unknown; there are auto, {', '.join(boards)}")
    return boards[word]


def read_model(root: Path = Path("/")) -> str:
    """The kernel's name for the board, as in ``Raspberry Pi Zero 2 W Rev 1.0``; "" where it has none."""
    try:
        return (root / "proc/device-tree/model").read_text("utf-8", "replace").rstrip("\0\n")
    except OSError:
        return ""


def _recognise(model: str, boards: Mapping[str, Board]) -> Board:
    found = [board for board in boards.values() if model.startswith(board.models)]
    if found:
        return found[0]
    seen = f"this is {model!r}" if model else "the kernel does not say which board this is"
    raise Refused(f"board auto: {seen}; name the nearest of {', '.join(boards)} by --board")
