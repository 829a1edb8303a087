"""The picture kept for the next start: whole or not believed, the old one or the new one."""

import builtins
import errno
import os
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from appliance.hardware.screens.memory import MemoryScreen
from appliance.service import first_light
from appliance.service.first_light import FILE, NO_MARK, put_up, read_kept, settings_mark, write_kept
from appliance.video.formats import FORMATS, find_mode

FACTS = {"settings": "0a1b2c3d", "format": "240p", "system": "NTSC", "pattern": "crosshatch", "variant": "white"}
MODE = find_mode(FORMATS["240p"], "NTSC")
ROWS = np.random.default_rng(5).integers(0, 1 << 24, (240, 720), dtype="<u4").tobytes()
OTHER = bytes(len(ROWS))
MARK = FACTS["settings"]


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """The file, written."""
    write_kept(str(tmp_path), FACTS, MODE, ROWS)
    return tmp_path / FILE


def test_what_is_written_is_read(kept: Path) -> None:
    """Facts, mode and every word of the picture; no other file is left."""
    read = read_kept(str(kept.parent), MARK)
    assert read is not None
    assert {name: read.facts[name] for name in FACTS} == FACTS
    assert (read.mode, read.rows) == (MODE, ROWS)
    assert list(kept.parent.iterdir()) == [kept]


def test_it_goes_up_as_it_was(kept: Path) -> None:
    """The memory screen shows the same words in the same mode."""
    read = read_kept(str(kept.parent), MARK)
    assert read is not None
    screen = MemoryScreen(lambda: 1.0)
    put_up(screen, read)
    screen.read(1.0)
    assert (screen.frame(), screen.mode) == (ROWS, MODE)


def test_nothing_kept_and_other_settings(kept: Path, tmp_path: Path) -> None:
    """Neither a missing file nor one made under other settings gives a picture."""
    assert read_kept(str(tmp_path / "missing"), MARK) is None
    assert read_kept(str(kept), MARK) is None
    assert read_kept(str(tmp_path), "another") is None


def regions(size: int) -> list[int]:
    """Every byte of the head, some of each part of the picture, every one of the end."""
    return [*range(min(size, 400)), *range(400, size - 8, size // 40), *range(max(0, size - 8), size)]


def test_a_file_cut_short_is_not_believed(kept: Path) -> None:
    """Wherever it ends."""
    whole = kept.read_bytes()
    for size in regions(len(whole)):
        kept.write_bytes(whole[:size])
        assert read_kept(str(kept.parent), MARK) is None, size


@pytest.mark.parametrize("flips", [0x01, 0x80, 0xFF])
def test_a_damaged_byte_is_not_believed(flips: int, kept: Path) -> None:
    """Not even one that makes another sensible figure of the modeline or another name."""
    whole = kept.read_bytes()
    for place in regions(len(whole)):
        damaged = bytearray(whole)
        damaged[place] ^= flips
        kept.write_bytes(damaged)
        assert read_kept(str(kept.parent), MARK) is None, place


@settings(deadline=None)
@given(data=st.binary(max_size=300))
def test_rubbish_is_not_believed(data: bytes, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Nor rubbish under a right checksum: nothing is raised either."""
    folder = tmp_path_factory.getbasetemp() / "rubbish"
    folder.mkdir(exist_ok=True)
    for content in (data, b"fieldmouse picture 1 %08x\n" % zlib.crc32(data) + data):
        (folder / FILE).write_bytes(content)
        assert read_kept(str(folder), MARK) is None


class PowerCut(BaseException):
    """The power goes."""


class Card:
    """The file operations of the module, the power failing before the one of number ``cut``.

    What was not flushed when the power went is lost: of such a file only the first ``left`` bytes are on the card.
    """

    def __init__(self, cut: int, left: int) -> None:
        self.cut, self.left, self.done = cut, left, 0
        self.names: dict[int, str] = {}
        self.unsafe: set[str] = set()

    def step(self, work: Callable[..., Any]) -> Callable[..., Any]:
        """``work``, counted; the power may go before it."""

        def counted(*words: Any, **more: Any) -> Any:
            self.done += 1
            if self.done > self.cut:
                raise PowerCut
            return work(*words, **more)

        return counted

    def open(self, path: str, mode: str) -> Any:
        """A file whose content is unsafe while it is not flushed."""
        file = builtins.open(path, mode)  # noqa: PTH123, SIM115 - as the module under test; its user closes it
        if "w" in mode:
            self.unsafe.add(path)
            self.names[file.fileno()] = path
        return file

    def fsync(self, handle: int) -> None:
        """Now it is on the card."""
        os.fsync(handle)
        self.unsafe.discard(self.names.get(handle, ""))

    def replace(self, old: str, new: str) -> None:
        """A name moves at once, whether or not the content is safe: the unkindest order."""
        os.replace(old, new)  # noqa: PTH105 - as the module under test
        if old in self.unsafe:
            self.unsafe = self.unsafe - {old} | {new}

    def lose(self) -> None:
        """The power has gone."""
        for path in self.unsafe:
            os.truncate(path, min(self.left, Path(path).stat().st_size))


class Os:
    """The module ``os`` with some of its calls going through a card."""

    def __init__(self, card: Card) -> None:
        self.fsync, self.replace, self.open = card.step(card.fsync), card.step(card.replace), card.step(os.open)

    def __getattr__(self, name: str) -> Any:
        return getattr(os, name)


def write_until(cut: int, left: int, folder: Path, monkeypatch: pytest.MonkeyPatch) -> bool:
    """Keep another picture, the power going at an operation; whether it went."""
    card = Card(cut, left)
    with monkeypatch.context() as patch:
        patch.setattr(first_light, "os", Os(card))
        patch.setattr(first_light, "open", card.step(card.open), raising=False)
        try:
            write_kept(str(folder), FACTS | {"pattern": "red"}, MODE, OTHER)
        except PowerCut:
            card.lose()
            return True
    return False


@pytest.mark.parametrize("left", [0, 100, 5000])
def test_a_power_cut_leaves_the_old_picture_or_the_new_one(
    left: int, kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whichever file operation it comes before; and the next writing succeeds, whatever it left lying about."""
    seen = set()
    cut = 0
    while write_until(cut, left, kept.parent, monkeypatch):
        read = read_kept(str(kept.parent), MARK)
        assert read is not None, cut
        seen.add((read.facts["pattern"], read.rows == ROWS))
        write_kept(str(kept.parent), FACTS, MODE, ROWS)
        cut += 1
    assert cut >= 5, "open, flush, rename, open the folder, flush it"
    assert seen == {("crosshatch", True), ("red", False)}


def test_a_full_or_read_only_card_is_told(kept: Path) -> None:
    """``OSError``, for the box to say so; the old picture stays."""
    (kept.parent / (FILE + ".new")).mkdir()
    with pytest.raises(OSError, match=FILE):
        write_kept(str(kept.parent), FACTS, MODE, OTHER)
    read = read_kept(str(kept.parent), MARK)
    assert read is not None
    assert read.rows == ROWS


class FullFile:
    """A file that the card has room for only in part."""

    def __init__(self, path: str) -> None:
        self._file = builtins.open(path, "wb")  # noqa: PTH123, SIM115 - as the module under test; closed below

    def __enter__(self) -> "FullFile":
        return self

    def __exit__(self, *error: object) -> None:
        self._file.close()

    def write(self, data: bytes) -> None:
        """The first half only."""
        self._file.write(data[: len(data) // 2])
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_nothing_new_is_left_on_a_full_card(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The half that went onto it is taken off again, and the old picture stays."""
    whole = kept.read_bytes()
    with monkeypatch.context() as patch:
        patch.setattr(first_light, "open", lambda path, _: FullFile(path), raising=False)
        with pytest.raises(OSError, match="No space left"):
            write_kept(str(kept.parent), FACTS, MODE, OTHER)
    assert list(kept.parent.iterdir()) == [kept]
    assert kept.read_bytes() == whole


def test_marks(tmp_path: Path) -> None:
    """The same for the same content, others for others; one for all that cannot be read."""
    one, two = tmp_path / "a", tmp_path / "b"
    one.write_text("format: 240p")
    two.write_text("format: 240p")
    assert settings_mark(str(one)) == settings_mark(str(two)) != NO_MARK
    two.write_text("format: 288p")
    assert settings_mark(str(one)) != settings_mark(str(two))
    assert {settings_mark(None), settings_mark(str(tmp_path)), settings_mark(str(tmp_path / "c"))} == {NO_MARK}
