"""``draw``: files whole or not at all, read back by Pillow."""

import os
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from appliance.cli import main
from appliance.commands.draw import contact_sheet, run, save_png
from appliance.errors import Refused
from appliance.patterns.catalogue import catalogue
from appliance.video.formats import FORMATS
from tests.patterns.measure import drawn, signal


def pixels(path: Path) -> np.ndarray:
    """``uint8[height, width, 3]`` as Pillow reads it."""
    with Image.open(path) as image:
        assert image.format == "PNG"
        return np.asarray(image.convert("RGB"))


@pytest.mark.parametrize("name", FORMATS)
def test_png_is_the_frame(name: str, tmp_path: Path) -> None:
    """Exactly the samples × lines and codes of the picture, and no other file."""
    out = tmp_path / "bars.png"
    assert run("bars:100/0/75/0", False, name, 0, out, False) == 0
    assert (pixels(out) == signal(drawn("bars", "100/0/75/0", name)) * 255).all()
    assert list(tmp_path.iterdir()) == [out]


def test_field_of_a_moving_picture_is_drawn(tmp_path: Path) -> None:
    """The one asked for, not the first."""
    run("moving-crosshatch:slantwise", False, "480i", 13, tmp_path / "a.png", False)
    assert (pixels(tmp_path / "a.png") == signal(drawn("moving-crosshatch", "slantwise", "480i", 13)) * 255).all()


def test_raw_is_little_endian_words(tmp_path: Path) -> None:
    """Four bytes a sample: blue, green, red, 0."""
    run("red", False, "240p", 0, tmp_path / "red.raw", True)
    assert (tmp_path / "red.raw").read_bytes() == b"\x00\x00\xff\x00" * (720 * 240)


def test_every_picture_and_a_sheet(tmp_path: Path) -> None:
    """One file a variant, slashes turned into dashes, and the contact sheet; the directory is made."""
    out = tmp_path / "all"
    assert run(None, True, "240p", 0, out, False) == 0
    names = {path.name for path in out.iterdir()}
    assert len(names) == sum(len(entry.variants) for entry in catalogue().values()) + 1
    assert {"white-100.png", "bars-75-0-75-0.png", "contact-sheet.png"} <= names
    assert list(tmp_path.iterdir()) == [out]


def test_corrected_picture_is_4_by_3(tmp_path: Path) -> None:
    """For looking at with square pixels."""
    save_png(drawn("crosshatch", "white", "288p"), tmp_path / "a.png", corrected=True)
    assert pixels(tmp_path / "a.png").shape == (576, 768, 3)


def test_sheet_holds_pictures_of_any_format(tmp_path: Path) -> None:
    """Nine pictures make two rows of the same small 4:3 size, each with a label below."""
    items = [
        (f"red {n}", drawn("red", "100", name), FORMATS[name]) for n in range(3) for name in ("240p", "480i", "576i")
    ]
    contact_sheet(items, tmp_path / "sheet.png")
    sheet = pixels(tmp_path / "sheet.png")
    red = (sheet[..., 0] > 250) & (sheet[..., 1] < 5)
    assert red.sum() == pytest.approx(9 * 240 * 180, rel=0.02)
    assert (sheet.max(axis=2)[192:210] > 200).any()


@pytest.mark.parametrize(
    ("pattern", "every", "name", "field", "word"),
    [
        ("wite", False, "240p", 0, "'wite'"),
        ("white:3", False, "240p", 0, "'3'"),
        ("white", False, "1080p", 0, "'1080p'"),
        ("white", False, "240p", -1, "field -1"),
        ("white", True, "240p", 0, "--all"),
        (None, False, "240p", 0, "--all"),
    ],
)
def test_what_cannot_be_drawn_is_refused(
    pattern: str | None, every: bool, name: str, field: int, word: str, tmp_path: Path
) -> None:
    """With the wrong word in the message, and no file begun."""
    with pytest.raises(Refused, match=word):
        run(pattern, every, name, field, tmp_path / "a.png", False)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("raw", [False, True])
def test_a_place_that_cannot_be_written_is_refused(raw: bool, tmp_path: Path) -> None:
    """A missing directory, a directory in the file's place: named, with a remedy, and nothing left beside."""
    (tmp_path / "taken").mkdir()
    for out in (tmp_path / "missing" / "a.png", tmp_path / "taken"):
        with pytest.raises(Refused, match="name another place with -o") as refused:
            run("white", False, "240p", 0, out, raw)
        assert str(out) in str(refused.value)
    assert [path.name for path in tmp_path.iterdir()] == ["taken"]
    assert not list((tmp_path / "taken").iterdir())


def test_every_picture_into_a_file_is_refused(tmp_path: Path) -> None:
    """The file stays as it was."""
    out = tmp_path / "file"
    out.write_text("mine")
    with pytest.raises(Refused, match="no directory"):
        run(None, True, "240p", 0, out, False)
    with pytest.raises(Refused, match="cannot be written"):
        run(None, True, "240p", 0, tmp_path / "missing" / "all", False)
    assert out.read_text() == "mine"
    assert list(tmp_path.iterdir()) == [out]


def test_a_frame_of_no_format_is_not_corrected(tmp_path: Path) -> None:
    """Its shape on the tube is unknown."""
    with pytest.raises(Refused, match="320 × 200"):
        save_png(np.zeros((200, 320), np.uint32), tmp_path / "a.png", corrected=True)


def test_a_link_is_followed_and_a_pipe_is_left_alone(tmp_path: Path) -> None:
    """The file behind a link is written and the link stays; what is no file is refused and stays what it is."""
    real, link, pipe = tmp_path / "real.png", tmp_path / "link.png", tmp_path / "pipe"
    link.symlink_to(real)
    assert main(["draw", "white", "-o", str(link)]) == 0
    assert link.is_symlink()
    assert real.is_file()
    os.mkfifo(pipe)
    assert main(["draw", "white", "-o", str(pipe)]) == 2
    assert pipe.is_fifo()
