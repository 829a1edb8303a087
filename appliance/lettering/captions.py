"""Captions and counts: text where a set surely shows it, on a new frame."""

from collections.abc import Sequence

import numpy as np

from appliance.errors import Refused
from appliance.lettering.writing import Frame, height, plate, width, write
from appliance.video.formats import Format

LONGEST = 28
"""Characters of a caption line."""

SAFE = 4 / 5
"""Share of the picture's width and height that every set shows (title-safe, common practice before BT.1848)."""

GREY, DARK = 191, 16
"""75 % grey, and a dark that is not quite black."""

LUMA = (0.299, 0.587, 0.114)
"""Weights of R', G', B' (ITU-R BT.601-7, §2.5.1)."""


def safe_area(fmt: Format) -> tuple[int, int, int, int]:
    """Left, top, right and bottom of the title-safe area in samples and rows, the last two just outside it."""
    across, down = int(float(fmt.line_system.active_samples) * SAFE), int(fmt.lines * SAFE)
    left, top = (fmt.samples - across + 1) // 2, (fmt.lines - down) // 2
    return left, top, left + across, top + down


def _room(fmt: Format) -> int:
    left, _, right, _ = safe_area(fmt)
    return right - left


def fits(lines: Sequence[str], fmt: Format) -> bool:
    """True when :func:`caption` takes ``lines`` as they are: at most two, of 28 characters, within the safe width.

    Raises Refused when the atlas lacks a character.
    """
    room = _room(fmt)
    return len(lines) <= 2 and all(len(line) <= LONGEST and width(line, fmt) <= room for line in lines)


def _check(line: str, fmt: Format) -> None:
    if len(line) > LONGEST:
        raise Refused(f"caption line {line!r}: {len(line)} characters; at most {LONGEST}, so shorten it")
    if (needed := width(line, fmt)) > _room(fmt):
        raise Refused(
            f"caption line {line!r}: {needed} samples wide in {fmt.name}, but the safe area has {_room(fmt)}; "
            f"shorten it or use fewer capitals and figures"
        )


def caption(frame: Frame, fmt: Format, lines: Sequence[str], *, high: bool = False) -> Frame:
    """A new frame: ``frame`` with one or two ``lines`` on a plate, centred low (or ``high``) in the safe area.

    No lines give a plain copy. Raises Refused, with the remedy, for more than two lines, one longer than 28
    characters or wider than the safe area, or a character that the atlas lacks.
    """
    if len(lines) > 2:
        raise Refused(f"caption of {len(lines)} lines: at most 2, so leave some out")
    for line in lines:
        _check(line, fmt)
    captioned = frame.copy()
    if any(lines):
        _put(captioned, fmt, lines, high=high)
    return captioned


def _put(frame: Frame, fmt: Format, lines: Sequence[str], *, high: bool) -> None:
    left, top, right, bottom = safe_area(fmt)
    widest, pitch = max(width(line, fmt) for line in lines), height(fmt)
    y = top if high else bottom - len(lines) * pitch
    plate(frame, fmt, ((left + right - widest) // 2, y), (widest, len(lines) * pitch), DARK)
    for row, line in enumerate(lines):
        x = (left + right - width(line, fmt)) // 2
        write(frame, fmt, line, x, y + row * pitch, ink=GREY, paper=None)


def _brightness(part: Frame) -> float:
    """Mean luma of a part of a frame, 0–255."""
    return sum(weight * float(np.mean((part >> shift) & 255)) for weight, shift in zip(LUMA, (16, 8, 0), strict=True))


def count(frame: Frame, fmt: Format, text: str, corner: int) -> Frame:
    """A new frame: ``frame`` with a few characters, as a countdown, in a corner of the safe area, without a plate.

    ``corner`` goes clockwise: 0 top left, 1 top right, 2 bottom right, 3 bottom left. Dark where the picture is
    bright, 75 % grey elsewhere. Raises Refused for another corner, a text wider than a quarter of the safe area
    or a character that the atlas lacks.
    """
    x, y = _corner(fmt, text, corner)
    part = frame[y : y + height(fmt), x : x + width(text, fmt)]
    bright = part.size and _brightness(part) > (GREY + DARK) / 2
    counted = frame.copy()
    write(counted, fmt, text, x, y, ink=DARK if bright else GREY, paper=None)
    return counted


def _corner(fmt: Format, text: str, corner: int) -> tuple[int, int]:
    """Sample and row of the text's box."""
    if corner not in range(4):
        raise Refused(f"corner {corner!r}: there are 0 top left, 1 top right, 2 bottom right, 3 bottom left")
    left, top, right, bottom = safe_area(fmt)
    if (needed := width(text, fmt)) > _room(fmt) // 4:
        raise Refused(f"count {text!r}: {needed} samples wide in {fmt.name}; at most {_room(fmt) // 4}, so shorten it")
    return right - needed if corner in {1, 2} else left, bottom - height(fmt) if corner in {2, 3} else top
