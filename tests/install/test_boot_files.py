"""The boot files on a card: found, shown, written, restored; and the commands that do it."""

from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from appliance.commands.install import run, run_uninstall
from appliance.errors import Refused
from appliance.install.board import find_board, read_boards
from appliance.install.boot_files import find_folder, plan_install, plan_uninstall, write_install, write_uninstall
from tests.install.test_cmdline_txt import STOCK as CMDLINE
from tests.install.test_config_txt import STOCK as CONFIG


@pytest.fixture
def card(tmp_path: Path) -> Path:
    """A root with the imager's boot files, and a byte in one that is no UTF-8."""
    folder = tmp_path / "boot/firmware"
    folder.mkdir(parents=True)
    (folder / "config.txt").write_bytes(CONFIG.encode() + b"# caf\xe9\r\n")
    (folder / "cmdline.txt").write_text(CMDLINE)
    return tmp_path


def contents(root: Path) -> dict[str, bytes]:
    """Every file under ``root``."""
    return {str(path.relative_to(root)): path.read_bytes() for path in root.rglob("*") if path.is_file()}


def test_there_and_back(card: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Installing shows the change, keeps copies and is done once; uninstalling restores every byte."""
    before = contents(card)
    assert run("zero2", "PAL", card, dry_run=False) == 0
    shown = capsys.readouterr().out
    assert "+dtoverlay=vc4-kms-v3d,composite,nohdmi\n" in shown
    assert "tv_mode=PAL" in shown
    installed = contents(card)
    assert {name for name in installed if name.endswith(".before-fieldmouse")} == {
        f"{n}.before-fieldmouse" for n in before
    }
    assert run("zero2", "PAL", card, dry_run=False) == 0
    assert "Nothing to do" in capsys.readouterr().out
    assert contents(card) == installed
    assert run_uninstall(card, dry_run=False) == 0
    assert contents(card) == before
    assert run_uninstall(card, dry_run=False) == 0
    assert "Nothing to do" in capsys.readouterr().out.splitlines()[-1]


def test_dry_run(card: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A dry run shows the same and writes nothing."""
    before = contents(card)
    assert run("4", None, card, dry_run=True) == 0
    assert "+dtoverlay=vc4-kms-v3d,composite\n" in capsys.readouterr().out
    assert contents(card) == before
    run("4", None, card, dry_run=False)
    installed = contents(card)
    assert run_uninstall(card, dry_run=True) == 0
    assert contents(card) == installed


def test_edited_in_between(card: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What a person changed between the two stays, and the copy, which says something else, is kept and named."""
    run("5", None, card, dry_run=False)
    config = card / "boot/firmware/config.txt"
    config.write_bytes(config.read_bytes() + b"gpu_mem=64\n")
    before = contents(card)["boot/firmware/config.txt.before-fieldmouse"]
    assert run_uninstall(card, dry_run=False) == 0
    assert config.read_bytes() == before + b"gpu_mem=64\n"
    assert "config.txt.before-fieldmouse: the file has changed since" in capsys.readouterr().out


def test_older_place(tmp_path: Path) -> None:
    """Boot files of an older system lie one folder up."""
    (tmp_path / "boot").mkdir()
    for name in ("config.txt", "cmdline.txt"):
        (tmp_path / "boot" / name).touch()
    assert find_folder(tmp_path) == tmp_path / "boot"


def test_no_boot_files(tmp_path: Path) -> None:
    """A machine that is no Raspberry Pi is refused before anything is written."""
    with pytest.raises(Refused, match=r"boot files: no config\.txt and cmdline\.txt in"):
        run("zero2", None, tmp_path, dry_run=False)
    assert contents(tmp_path) == {}


def test_no_such_folder(tmp_path: Path) -> None:
    """A root that is not there is named, whichever board is asked for; without boot files no board is blamed."""
    for board in ("auto", "zero2"):
        with pytest.raises(Refused, match=r"nowhere: no such folder; .* --root"):
            run(board, None, tmp_path / "nowhere", dry_run=True)
    with pytest.raises(Refused, match=r"nowhere: no such folder"):
        run_uninstall(tmp_path / "nowhere", dry_run=True)
    with pytest.raises(Refused, match="boot files: no config"):
        run("auto", None, tmp_path, dry_run=True)


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("config.txt", bytes(range(256)), ":1: byte 0x00 is no text"),
        ("config.txt", b"dtparam=audio=on\n\x7fELF\x02\n", ":2: byte 0x02 is no text"),
        ("config.txt", CONFIG.encode("utf-16"), ":1: byte 0x00 is no text"),
        ("cmdline.txt", b"root=/dev/mmcblk0p2\0", ":1: byte 0x00 is no text"),
        ("cmdline.txt", b"", ":1: no root= in its first line"),
        ("cmdline.txt", b"\n", ":1: no root= in its first line"),
        ("cmdline.txt", b"\nroot=/dev/mmcblk0p2\n", ":1: no root= in its first line"),
    ],
)
def test_no_boot_file_of_a_system_that_starts(card: Path, name: str, content: bytes, says: str) -> None:
    """A file that is no text, or without the word no kernel starts without, is refused in one line, and left alone."""
    path = card / "boot/firmware" / name
    path.write_bytes(content)
    before = contents(card)
    with pytest.raises(Refused) as refused:
        run("zero2", "PAL", card, dry_run=False)
    assert str(refused.value).startswith(f"{path}{says}")
    assert str(refused.value).isprintable()
    assert contents(card) == before


def there_and_back_again(root: Path) -> str | None:
    """Install and uninstall; what is said if it is refused."""
    try:
        write_install(plan_install(root, read_boards()["zero2"], "PAL"))
    except Refused as refused:
        return str(refused)
    write_uninstall(plan_uninstall(root))
    return None


@settings(deadline=None, max_examples=50)
@given(st.binary(max_size=40), st.binary(max_size=40))
def test_any_bytes(config: bytes, cmdline: bytes) -> None:
    """Boot files of any bytes are refused and left alone, or installed into and restored to the last byte."""
    with TemporaryDirectory() as folder:
        boot = Path(folder) / "boot"
        boot.mkdir()
        (boot / "config.txt").write_bytes(config)
        (boot / "cmdline.txt").write_bytes(b"root=a " + cmdline)
        before = contents(Path(folder))
        refusal = there_and_back_again(Path(folder))
        assert refusal is None or "is no text" in refusal
        assert contents(Path(folder)) == before


def test_the_system_chosen_before_is_kept(card: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Installing again without a system keeps that one and says so; another replaces it, uninstalling drops it."""
    said = []
    for system in (None, "PAL-60", None, "NTSC-J", None):
        run("zero2", system, card, dry_run=False)
        said.append([line for line in capsys.readouterr().out.splitlines() if "is kept" in line])
    assert [len(lines) for lines in said] == [0, 0, 1, 0, 1]
    assert "before, PAL-60, is kept" in said[2][0]
    assert "before, NTSC-J, is kept" in said[4][0]
    assert b"720x480i,tv_mode=NTSC-J" in contents(card)["boot/firmware/cmdline.txt"]
    run_uninstall(card, dry_run=False)
    run("zero2", None, card, dry_run=False)
    assert "is kept" not in capsys.readouterr().out
    assert b"tv_mode" not in contents(card)["boot/firmware/cmdline.txt"]


@pytest.mark.parametrize(
    ("board", "system", "says"), [("6", None, "board '6': unknown"), ("4", "SECAM", "system 'SECAM'")]
)
def test_asked_wrongly(card: Path, board: str, system: str | None, says: str) -> None:
    """An unknown board or system is refused, with those there are, and nothing is written."""
    before = contents(card)
    with pytest.raises(Refused, match=says):
        run(board, system, card, dry_run=False)
    assert contents(card) == before


@pytest.mark.parametrize(
    ("model", "word"),
    [
        ("Raspberry Pi Zero Rev 1.3", "zero"),
        ("Raspberry Pi Zero W Rev 1.1", "zero"),
        ("Raspberry Pi Zero 2 W Rev 1.0", "zero2"),
        ("Raspberry Pi 3 Model B Plus Rev 1.3", "3"),
        ("Raspberry Pi 4 Model B Rev 1.5", "4"),
        ("Raspberry Pi 5 Model B Rev 1.0", "5"),
    ],
)
def test_which_board(tmp_path: Path, model: str, word: str) -> None:
    """The board is told by the kernel's name for it (names as the kernel's device trees have them, from memory)."""
    (tmp_path / "proc/device-tree").mkdir(parents=True)
    (tmp_path / "proc/device-tree/model").write_bytes(model.encode() + b"\0")
    assert find_board("auto", tmp_path) == read_boards()[word]


@pytest.mark.parametrize("model", ["Raspberry Pi 400 Rev 1.0", "Something else", ""])
def test_no_such_board(tmp_path: Path, model: str) -> None:
    """A board that is not known, or has no composite output, is not guessed at."""
    if model:
        (tmp_path / "proc/device-tree").mkdir(parents=True)
        (tmp_path / "proc/device-tree/model").write_text(model)
    with pytest.raises(Refused, match="name the nearest of 3, 4, 5, zero, zero2 by --board"):
        find_board("auto", tmp_path)


def test_a_place_that_cannot_be_written(card: Path) -> None:
    """Where the new file cannot be made, the old one stays whole and the message says what to do."""
    before = contents(card)
    (card / "boot/firmware/config.txt.before-fieldmouse.new").mkdir()
    with pytest.raises(
        Refused, match=r"config\.txt\.before-fieldmouse: cannot be written: Is a directory; run it by sudo"
    ):
        run("4", None, card, dry_run=False)
    (card / "boot/firmware/config.txt.before-fieldmouse.new").rmdir()
    assert contents(card) == before
