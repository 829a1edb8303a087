"""cmdline.txt, merged and taken out."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appliance.install.board import read_boards
from appliance.install.cmdline_txt import chosen_system, has_root, merge, unmerge
from appliance.video.formats import TV_MODES

WORDS = read_boards()["zero2"].words

STOCK = "console=serial0,115200 console=tty1 root=PARTUUID=4e639091-02 rootfstype=ext4 fsck.repair=yes rootwait quiet\n"
"""The line as Raspberry Pi's imager writes it, from memory."""

words = st.sampled_from(
    ["console=tty1", "console=tty1,115200", "quiet", "splash", "root=/dev/mmcblk0p2", "video=Composite-1:720x480i",
     "video=Composite-1:720x576i,tv_mode=PAL",
     'dyndbg="file a.c +p"', '"', "fieldmouse.begin=1", "fieldmouse.end=1", "fieldmouse.was=a", "vc4.tv_norm=PAL", "  ",
     "fieldmouse.was=fieldmouse.was=console=tty1"]
)  # fmt: skip
lines = st.lists(words | st.text(st.characters(exclude_characters="\n"), max_size=6), max_size=8).map(" ".join)
texts = st.builds(lambda line, rest: line + rest, lines, st.sampled_from(["", "\n", "\r\n", "\n\nmore\n", " \n"]))
systems = st.sampled_from([None, "NTSC", "PAL", "mono", "PAL-60"])


def kernel_words(text: str) -> list[str]:
    """The words that the kernel acts on, of the first line: those of a module that is not there are passed over."""
    return [word for word in text.partition("\n")[0].split() if not word.startswith("fieldmouse.")]


def test_stock_line() -> None:
    """The console leaves the first screen, what is wanted is added, the rest stays in its order."""
    merged = merge(STOCK, WORDS)
    assert kernel_words(merged) == [
        "console=serial0,115200", "root=PARTUUID=4e639091-02", "rootfstype=ext4", "fsck.repair=yes", "rootwait",
        "quiet", "logo.nologo", "vt.global_cursor_default=0", "consoleblank=0", "console=tty3",
    ]  # fmt: skip
    assert unmerge(merged) == STOCK


@pytest.mark.parametrize(
    ("system", "word"),
    [
        ("NTSC", "video=Composite-1:720x480i,tv_mode=NTSC"),
        ("NTSC-J", "video=Composite-1:720x480i,tv_mode=NTSC-J"),
        ("PAL", "video=Composite-1:720x576i,tv_mode=PAL"),
        ("PAL-60", "video=Composite-1:720x480i,tv_mode=PAL"),
        ("PAL-N", "video=Composite-1:720x576i,tv_mode=PAL-N"),
        ("mono", "video=Composite-1:720x480i,tv_mode=Mono"),
    ],
)
def test_system(system: str, word: str) -> None:
    """A colour system is said as Raspberry Pi documents tv_mode for kernels from 6.3 on; earlier words step aside."""
    merged = merge("video=Composite-1:720x576i,tv_mode=SECAM rootwait", WORDS, system)
    assert [w for w in kernel_words(merged) if w.startswith("video=")] == [word]


@given(texts, systems)
def test_restored(text: str, system: str | None) -> None:
    """Taking out restores every byte of a line that had none of our marks, odd spaces and quotes included."""
    bare = unmerge(text)
    assert unmerge(merge(text, WORDS, system)) == bare
    assert unmerge(bare) == bare
    if "fieldmouse" not in text:
        assert bare == text


@given(texts, systems, systems)
def test_merged_twice(text: str, system: str | None, other: str | None) -> None:
    """Merging again changes nothing; another system leaves nothing of the first, and none named keeps the first."""
    merged = merge(text, WORDS, system)
    assert merge(merged, WORDS, system) == merge(merged, WORDS) == merged
    assert merge(merge(text, WORDS, other), WORDS, system) == merge(text, WORDS, system or other)


@given(texts, st.sampled_from(list(TV_MODES)))
def test_chosen_is_known_again(text: str, system: str) -> None:
    """Whatever the line holds besides, the system it was merged with is read out of it, and its word is there."""
    merged = merge(text, WORDS, system)
    assert chosen_system(merged) == system
    assert f"tv_mode={TV_MODES[system]}" in merged.rpartition("fieldmouse.begin=1")[2]
    assert chosen_system(unmerge(merged)) is None


@given(texts, st.sampled_from(["root=", "root=PARTUUID=4e639091-02"]), st.booleans())
def test_root_is_found(text: str, word: str, first: bool) -> None:
    """A word that begins with root=, on the first line, and no other part of the text."""
    line, end, rest = text.replace("root=", "toor=").replace('"', "").partition("\n")
    assert has_root(f"{line} {word}{end}{rest}" if first else f"{line}\n{word}{end}{rest}") is first


def test_a_word_that_is_there_already() -> None:
    """The colour system named, if somebody has written it by hand before, still stands outside what is put aside."""
    word = "video=Composite-1:720x480i,tv_mode=NTSC"
    assert kernel_words(merge(f"{word} root=/dev/mmcblk0p2", (), "NTSC")) == ["root=/dev/mmcblk0p2", word]


@given(texts, systems)
def test_one_line(text: str, system: str | None) -> None:
    """The first line stays one line, and what comes after it, which nobody reads, as it was."""
    merged = merge(text, WORDS, system)
    assert merged.count("\n") == text.count("\n")
    assert merged.partition("\n")[2] == text.partition("\n")[2]


@given(texts)
def test_nothing_over_the_picture(text: str) -> None:
    """Outside quotes no word is left that puts a console or a start-up picture on the screen."""
    if '"' not in text:
        assert not {"console=tty1", "splash"} & set(kernel_words(merge(text, WORDS)))
