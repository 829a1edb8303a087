"""The atlas is what the script bakes from the font it names, and is not loaded before a letter is asked for."""

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from appliance.errors import Refused
from appliance.lettering import bake
from appliance.lettering.atlas import ATLAS


def test_importing_loads_neither_the_atlas_nor_pygame() -> None:
    """After the import there is no pygame, and no glyphs are loaded."""
    asked = (
        "import sys, appliance.lettering, appliance.lettering.atlas as atlas;"
        "print('pygame' in sys.modules, atlas.sheet.cache_info().currsize)"
    )
    told = subprocess.run([sys.executable, "-c", asked], check=True, capture_output=True, text=True).stdout
    assert told.split() == ["False", "0"]


def test_the_licence_lies_beside_the_atlas() -> None:
    """The licence names the font, its package, and grants what we do with it."""
    licence = ATLAS.with_name("atlas_licence.txt").read_text()
    for words in ("DejaVu Sans Bold", "fonts-dejavu-core", "Permission is hereby granted, free of charge"):
        assert words in licence


def test_the_licence_names_the_very_font_that_was_baked() -> None:
    """The font's SHA-256 in the licence file is the one that the atlas was made from."""
    with np.load(ATLAS) as atlas:
        digest = atlas["font_sha256"].tobytes().hex()
    assert digest in ATLAS.with_name("atlas_licence.txt").read_text()


@pytest.mark.skipif(not bake.FONT.is_file(), reason="no font to bake from: Debian's package fonts-dejavu-core")
def test_baking_again_gives_the_same_atlas(tmp_path: Path) -> None:
    """The script run on the installed font gives every array of the shipped atlas, byte for byte."""
    bake.main(["--out", str(tmp_path / "atlas.npz")])
    with np.load(tmp_path / "atlas.npz") as baked, np.load(ATLAS) as shipped:
        assert baked.files == shipped.files
        for name in shipped.files:
            assert baked[name].dtype == shipped[name].dtype
            assert baked[name].tobytes() == shipped[name].tobytes(), name


def test_a_font_that_is_not_there_is_refused(tmp_path: Path) -> None:
    """The refusal names the path and the package to install."""
    with pytest.raises(Refused, match=r"none\.ttf: not there; install Debian's package fonts-dejavu-core"):
        bake.bake(tmp_path / "none.ttf")


def test_the_command_says_so_in_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A missing font ends the command with code 2 and writes no atlas."""
    with pytest.raises(SystemExit) as ended:
        bake.main(["--font", str(tmp_path / "none.ttf"), "--out", str(tmp_path / "atlas.npz")])
    assert ended.value.code == 2
    assert "not there" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())
