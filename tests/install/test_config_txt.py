"""config.txt, merged and taken out: checked by a reading of the result that shares nothing with the merging."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appliance.install.board import Board, read_boards, read_overlays
from appliance.install.config_txt import merge, unmerge
from tests.install.firmware import read_config

BOARDS = read_boards()

STOCK = """\
# For more options and information see the documentation
dtparam=audio=on
camera_auto_detect=1
display_auto_detect=1
auto_initramfs=1

# Enable DRM VC4 V3D driver
dtoverlay=vc4-kms-v3d
max_framebuffers=2
disable_fw_kms_setup=1
arm_64bit=1
disable_overscan=1
arm_boost=1

[cm4]
otg_mode=1

[cm5]
dtoverlay=dwc2,dr_mode=host

[all]
"""
"""The file as Raspberry Pi's imager writes it (Debian 12 and 13), from memory."""

pieces = st.sampled_from(
    [
        "dtoverlay=vc4-kms-v3d", "dtoverlay=vc4-kms-v3d,cma-256", " dtoverlay = vc4-fkms-v3d ", "dtoverlay=dwc2",
        "dtoverlay=vc4-kms-v3d-pi4,composite", "[all]", "[pi4]", "[pi02]", "[none]", "[cm4]", "[gpio4=1]", "[pi3+]",
        "enable_tvout=0", "disable_splash=0", "# a comment", "", "dtparam=audio=on", "unknown_key=1", "garbage",
        "# fieldmouse: begin (by hand)", "# fieldmouse: end", "# fieldmouse: begin, after", "#fieldmouse.was=x",
        "#fieldmouse.was=dtoverlay=vc4-kms-v3d", "#fieldmouse.was=#fieldmouse.was=",
    ]
)  # fmt: skip
texts = st.builds(
    lambda lines, end, last: end.join(lines) + (end if last else ""),
    st.lists(pieces | st.text(max_size=8), max_size=12),
    st.sampled_from(["\n", "\r\n"]),
    st.booleans(),
)
boards = st.sampled_from(sorted(BOARDS)).map(BOARDS.__getitem__)


def own_filters(word: str) -> set[str]:
    """The model filters that hold on a board."""
    return set(BOARDS[word].filters)


def test_stock_file() -> None:
    """The imager's file gets its one display line edited in place, and keeps all the rest."""
    merged = merge(STOCK, BOARDS["zero2"])
    reading = read_config(merged, own_filters("zero2"))
    assert reading.overlays == [("vc4-kms-v3d", ("composite", "nohdmi"))]
    assert reading.values["enable_tvout"] == "1"
    assert read_config(STOCK, own_filters("zero2")).values.items() <= reading.values.items()
    assert unmerge(merged) == STOCK


@pytest.mark.parametrize("word", sorted(BOARDS))
def test_an_empty_file(word: str) -> None:
    """Without a display line there is one, for every board, closed so that what follows is not taken for its own."""
    merged = merge("", BOARDS[word])
    assert [name for name, _ in read_config(merged, own_filters(word)).overlays] == [BOARDS[word].overlay]
    assert "\ndtoverlay=\n" in merged
    assert unmerge(merged) == ""


def test_what_a_person_added_stays() -> None:
    """Parameters that somebody gave the display stay, before ours, none twice."""
    merged = merge("dtoverlay=vc4-kms-v3d,cma-256,composite", BOARDS["3"])
    assert read_config(merged, set()).overlays == [("vc4-kms-v3d", ("cma-256", "composite", "nohdmi"))]


def test_other_boards_keep_their_display() -> None:
    """A display line in another board's section is not touched, and does not count for this one."""
    text = "[pi5]\ndtoverlay=vc4-kms-v3d,nohdmi0\n"
    merged = merge(text, BOARDS["zero2"])
    assert read_config(merged, {"pi5"}).overlays[0] == ("vc4-kms-v3d", ("nohdmi0",))
    assert read_config(merged, own_filters("zero2")).overlays == [("vc4-kms-v3d", ("composite", "nohdmi"))]


def test_sections_do_not_leak() -> None:
    """Our lines hold although the file ends inside another board's section."""
    merged = merge("dtoverlay=vc4-kms-v3d\n[cm4]\notg_mode=1", BOARDS["4"])
    reading = read_config(merged, own_filters("4"))
    assert reading.values["enable_tvout"] == "1"
    assert "otg_mode" not in reading.values


def test_lines_added_after_us_stay() -> None:
    """What a person adds after the block, or before it, outlives it; lines do not run together."""
    merged = merge("gpu_mem=64", BOARDS["4"]) + "over_voltage=1\n"
    assert unmerge(merged) == "gpu_mem=64\nover_voltage=1\n"


@given(texts, boards)
def test_restored(text: str, board: Board) -> None:
    """Taking out restores every byte of any file that had none of our marks; marks never outlive it."""
    bare = unmerge(text)
    assert unmerge(merge(text, board)) == bare
    assert unmerge(bare) == bare
    if "fieldmouse" not in text:
        assert bare == text


@given(texts, boards, boards)
def test_merged_twice(text: str, board: Board, other: Board) -> None:
    """Merging again changes nothing, and merging for another board leaves nothing of the first."""
    merged = merge(text, board)
    assert merge(merged, board) == merged
    assert merge(merge(text, other), board) == merged


@given(texts, st.sampled_from(sorted(BOARDS)))
def test_order_and_strangers_kept(text: str, word: str) -> None:
    """Every line but the display's is there as it was, in its order."""
    bare = unmerge(text)
    merged = merge(text, BOARDS[word]).split("\n")
    others = iter(merged)
    strangers = [line for line in bare.split("\n")[:-1] if "kms-v3d" not in line]
    assert all(any(line == seen for seen in others) for line in strangers)


@given(st.lists(pieces.filter(lambda piece: "fieldmouse" not in piece and "gpio4" not in piece), max_size=10))
def test_composite_is_on(lines: list[str]) -> None:
    """Whatever stood there, the board ends with composite in the display's overlay, once or in every line of it."""
    text = "\n".join(lines)
    if "[none]" in text:  # what follows [none] never holds; our block begins with [all]
        text = text.replace("[none]", "[all]")
    reading = read_config(merge(text, BOARDS["zero2"]), own_filters("zero2"))
    displays = [parameters for name, parameters in reading.overlays if "kms" in name]
    assert displays
    assert all({"composite", "nohdmi"} <= set(parameters) for parameters in displays)
    assert reading.values["enable_tvout"] == "1"


def test_parameters_are_known() -> None:
    """Each board's overlay and parameters are in the overlays' list, under every name they may be mapped to."""
    listed = read_overlays()
    for board in BOARDS.values():
        for overlay in (name for name in listed if name.startswith(board.overlay)):
            assert set(board.parameters) <= set(listed[overlay])


def test_each_board_says_why() -> None:
    """Every board names its sources, and the models it stands for."""
    for board in BOARDS.values():
        assert board.sources
        assert all(model.startswith("Raspberry Pi") for model in board.models)


def test_firmware_reading_can_fail() -> None:
    """The reading that checks the merging does tell a board without composite."""
    assert read_config(STOCK, set()).overlays == [("vc4-kms-v3d", ())]
