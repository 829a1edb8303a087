"""``cmdline.txt``: the kernel's one line of words. What is added and what is put aside can be undone to the last byte.

The kernel passes over a word with a dot before its ``=`` that belongs to no module (kernel/params.c and
init/main.c of Linux: taken for an unused module's parameter). So marks are such words: what is added stands between
``fieldmouse.begin=1`` and ``fieldmouse.end=1``, and a word put aside becomes the value of ``fieldmouse.was``.
Pure: text in, text out.
"""

import re

from appliance.video.formats import FORMATS, TV_MODES, find_format

_WORD = re.compile(r'(?:[^\s"]|"[^"]*"?)+')
_ADDED = re.compile(r" fieldmouse\.begin=1(?: (?!fieldmouse\.(?:begin|end)=)\S+)* fieldmouse\.end=1(?!\S)")
_PUT_ASIDE = re.compile(r"(?<!\S)fieldmouse\.was=")

_ASIDE = re.compile(r"console=tty1(,.*)?|splash")
"""Words that would write over the picture, or have a start-up picture's program hold the card."""

_SYSTEM = re.compile(r"video=Composite-.*|vc4\.tv_norm=.*")
"""Words that say the colour system."""


def merge(text: str, words: tuple[str, ...], system: str | None = None) -> str:
    """``text`` with ``words``, and with the colour system that the kernel begins with: the one named, or else chosen.

    Merged once or often, it is the same. Only the first line, the one the firmware reads, is touched.
    """
    system = system or chosen_system(text)
    line, rest = _first_line(unmerge(text))
    body = line.rstrip()
    aside = [_ASIDE, _SYSTEM] if system else [_ASIDE]
    kept = _WORD.sub(lambda word: _put_aside(word[0], aside), body)
    there = _WORD.findall(kept)
    added = [word for word in (*words, *_system_words(system)) if word not in there]
    block = " ".join(["fieldmouse.begin=1", *added, "fieldmouse.end=1"])
    return f"{kept} {block}{line[len(body) :]}{rest}"


def chosen_system(text: str) -> str | None:
    """The colour system that was named when ``text`` was last merged, if one was."""
    line, _ = _first_line(text)
    blocks = _ADDED.findall(line)
    added = blocks[-1].split() if blocks else []
    return next((system for system in TV_MODES if _system_words(system)[0] in added), None)


def has_root(text: str) -> bool:
    """Whether the kernel is told where its system lies; without that it stops before anything is shown."""
    line, _ = _first_line(text)
    return any(word.startswith("root=") for word in _WORD.findall(line))


def unmerge(text: str) -> str:
    """``text`` without anything :func:`merge` put in, every other byte as it was."""
    line, rest = _first_line(text)
    while True:
        bare = _PUT_ASIDE.sub("", _ADDED.sub("", line))
        if bare == line:
            return line + rest
        line = bare


def _first_line(text: str) -> tuple[str, str]:
    line, end, rest = text.partition("\n")
    return line, end + rest


def _put_aside(word: str, kinds: list[re.Pattern[str]]) -> str:
    return f"fieldmouse.was={word}" if any(kind.fullmatch(word) for kind in kinds) else word


def _system_words(system: str | None) -> list[str]:
    """The mode and ``tv_mode`` that go with a colour system (kernel 6.3 or later: Documentation/fb/modedb.rst)."""
    if system is None:
        return []
    fmt = next(fmt for fmt in map(find_format, FORMATS) if fmt.interlaced and system in fmt.systems)
    return [f"video=Composite-1:{fmt.samples}x{fmt.lines}i,tv_mode={TV_MODES[system]}"]
