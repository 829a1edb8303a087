"""Every caption is read back by tesseract after a 2.5 MHz low-pass, in each format.

A caption is words of the atlas side by side, so each format reads lines enough to have every word of every caption at
least once, and a quarter of all the other lines: between them the four formats read every line there is.
"""

import os
import re
import subprocess
from collections.abc import Iterator, Sequence
from difflib import ndiff
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from appliance.activities.box import Box, Place, Times
from appliance.activities.showing import BLACK
from appliance.activities.stepping import Stepping
from appliance.lettering import caption, height, safe_area
from appliance.patterns.catalogue import catalogue
from appliance.patterns.fields import MAINS, hum_words
from appliance.presses.press import Kind, Press
from appliance.settings.tree import Choice
from appliance.video.formats import FORMATS, Format
from tests.lettering.test_reading import as_seen, needs_reader


def of_catalogue() -> Iterator[str]:
    """Title with variant and what to look for of every picture, and the cautions; the words within pictures."""
    stepping = Stepping(list(catalogue().values()), caption_time=4)
    for entry in catalogue().values():
        for variant in entry.variants:
            stepping.show(entry.key, variant, 0.0)
            yield from _caption(stepping)
        yield from (entry.title, entry.shows, *entry.caution)
    yield from (hum_words(fmt, mains) for fmt in FORMATS.values() for mains in MAINS)


def of_box() -> Iterator[str]:
    """The white stress's caution, the offer of every format and system, the choice of what to do, the rest's words."""
    choices = [Choice(fmt.name, system) for fmt in FORMATS.values() for system in fmt.systems]
    for choice in choices:
        box = Box(list(catalogue().values()), choices, Times(), Place(choice, *BLACK), 0.0)
        for press in (Press(Kind.HELD, "go", 1), Press(Kind.SHORT, "forward", 2), Press(Kind.SHORT, "note", 3)):
            box.press(press)
            yield from _caption(box)
        box.press(Press(Kind.PAIR, "go+vary", 4))
        yield from _caption(box)
        box.show("crosshatch", "white", 5)
    blind = Box(list(catalogue().values()), choices, Times(), Place(choices[0], *BLACK), 0.0)
    blind.cue("vary at power-up", 0.0)
    for second in range(0, 60, 4):
        blind.tick(float(second))
        yield from _caption(blind)
    stress = Box(list(catalogue().values()), choices, Times(), Place(choices[0], "white", "25"), 0.0)
    stress.press(Press(Kind.SHORT, "go", 1.0))
    yield from _caption(stress)
    bright = Box(list(catalogue().values()), choices, Times(), Place(choices[0], "red", "100"), 0.0)
    for second in (62, 662):
        bright.tick(float(second))
        yield from _caption(bright)


def _caption(machine: Box | Stepping) -> Sequence[str]:
    words = machine.showing().caption
    return words.lines if words else ()


LINES = list(dict.fromkeys([*of_catalogue(), *of_box()]))


def letters(line: str) -> str:
    """Letters and figures alone: readers take a raised dot for what they like, and see or miss a narrow space.

    A capital I is a small l or a bar in letters without serifs, and a J that follows no vowel is read as a bracket.
    """
    return re.sub(r"[\W_]", "", re.sub(r"[)}\]]", "J", re.sub(r"[I|]", "l", line)))


def words_of(line: str) -> set[str]:
    """Its words, not its numbers: figures recur in every format's lines."""
    return set(re.findall(r"[^\W\d]+", line))


@cache
def cover() -> list[str]:
    """Few lines that have every word between them: again and again the one with most words not met yet."""
    left, chosen = set().union(*map(words_of, LINES)), []
    while left:
        chosen.append(max(LINES, key=lambda line: len(words_of(line) & left)))
        left -= words_of(chosen[-1])
    return chosen


def lines_for(fmt: Format) -> list[str]:
    """Lines with every word there is, and every fourth of the rest; all of them with ``FIELDMOUSE_READ_ALL=1``."""
    if os.environ.get("FIELDMOUSE_READ_ALL"):
        return LINES
    rest = [line for line in LINES if line not in cover()]
    return cover() + rest[list(FORMATS).index(fmt.name) :: len(FORMATS)]


PAGE = 16
"""Lines on a page: on one much taller than wide the reader takes two lines for one."""


def page(fmt: Format, lines: Sequence[str]) -> Image.Image:
    """The plates of captions of two lines each, one below the other, after the channel."""
    grey = np.full((fmt.lines, fmt.samples), 0x5A5A5A, np.uint32)
    bottom = safe_area(fmt)[3] + 4 * fmt.lines_per_row
    top = bottom - 2 * height(fmt) - 24 * fmt.lines_per_row
    pairs = [lines[start : start + 2] for start in range(0, len(lines), 2)]
    return as_seen(np.concatenate([caption(grey, fmt, pair)[top:bottom] for pair in pairs]), fmt)


def read_pages(fmt: Format, lines: Sequence[str], folder: Path) -> list[str]:
    """What tesseract reads, line by line, in one run over all pages."""
    pages = [page(fmt, lines[start : start + PAGE]) for start in range(0, len(lines), PAGE)]
    for number, picture in enumerate(pages):
        picture.save(folder / f"{number}.png")
    (folder / "pages").write_text("".join(f"{folder / f'{number}.png'}\n" for number in range(len(pages))))
    command = ["tesseract", str(folder / "pages"), "-", "--psm", "6", "--dpi", "150"]
    limited = {**os.environ, "OMP_THREAD_LIMIT": "1"}
    return subprocess.run(command, check=True, capture_output=True, text=True, env=limited).stdout.splitlines()


@needs_reader
@pytest.mark.parametrize("fmt", FORMATS.values(), ids=FORMATS)
def test_every_caption_is_read_back(fmt: Format, tmp_path: Path) -> None:
    """Letter for letter and figure for figure, line by line."""
    asked = [letters(line) for line in lines_for(fmt)]
    seen = [letters(line) for line in read_pages(fmt, lines_for(fmt), tmp_path)]
    wrong = [line for line in ndiff(asked, [line for line in seen if line]) if line[0] in "+-"]
    assert not wrong, "\n".join(wrong)


def test_every_line_is_read_in_some_format_and_every_word_in_each() -> None:
    """So that none is left out; the stress's and the formats' words are among them."""
    every = {line for fmt in FORMATS.values() for line in lines_for(fmt)}
    assert every == set(LINES)
    assert all(words_of(" ".join(lines_for(fmt))) == words_of(" ".join(LINES)) for fmt in FORMATS.values())
    assert {"576i PAL: go keeps it", "Full white 10 s · go starts", "Dimmed to spare the tube"} <= every
