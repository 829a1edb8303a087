"""Views into frames: the pattern drawn, the words laid over it. Keeps the last pictures drawn."""

import logging
from dataclasses import replace
from functools import lru_cache

import numpy as np

from appliance import lettering
from appliance.activities.showing import Code
from appliance.lettering.large import large
from appliance.patterns.catalogue import find_pattern
from appliance.patterns.picture import Frame, Picture
from appliance.service.views import View
from appliance.video.formats import Format, find_format

log = logging.getLogger(__name__)

CELL = 8
"""Samples across of the cell by which a picture is shifted: wider than any thin line, a hundredth of the screen."""


_NOTHING: Frame = np.zeros((0, 0), np.uint32)


class PictureFailed(Exception):
    """A pattern could not be drawn; the message names it."""


class Painter:
    """Draws views. Holds the last ``keep`` pictures: with one, a caption that goes costs no drawing."""

    def __init__(self, keep: int = 1) -> None:
        self.picture = lru_cache(keep)(self._picture)
        self._motions: dict[tuple[str, str, str], Picture] = {}

    def frame(self, view: View, field: int) -> Frame:
        """What is handed to the screen: oversize and bare for a moving view, else the window of ``field`` with words.

        Raises :class:`PictureFailed` naming the pattern when it cannot be drawn.
        """
        try:
            if view.code:
                return _code_frame(view.code, find_format(view.choice.format))
            picture = self.picture(view.choice.format, view.pattern, view.variant)
            return picture.frames[picture.index(field)] if view.moving else self._still(view, picture, field)
        except Exception as error:
            log.exception("%s:%s in %s cannot be drawn", view.pattern, view.variant, view.choice.format)
            raise PictureFailed(f"{view.pattern}: {error}") from error

    def motion(self, format_name: str, pattern: str, variant: str) -> Picture:
        """How a picture moves, with frames of nothing: what may be asked each field, and held while it lasts."""
        place = format_name, pattern, variant
        if place not in self._motions:
            picture = self.picture(*place)
            self._motions[place] = replace(picture, frame=_NOTHING, more=(_NOTHING,) * len(picture.more))
        return self._motions[place]

    def forget(self) -> None:
        """Let go of the pictures held."""
        self.picture.cache_clear()

    def plain(self, view: View, words: tuple[str, ...]) -> Frame:
        """Black with words, for when a pattern cannot be drawn: never a lost signal."""
        fmt = find_format(view.choice.format)
        black: Frame = np.zeros((fmt.lines, fmt.samples), np.uint32)
        return lettering.caption(black, fmt, [line[:28] for line in words])

    @staticmethod
    def _picture(format_name: str, pattern: str, variant: str) -> Picture:
        entry, name = find_pattern(f"{pattern}:{variant}")
        return entry.draw(find_format(format_name), name)

    @staticmethod
    def _still(view: View, picture: Picture, field: int) -> Frame:
        fmt = find_format(view.choice.format)
        frame = shifted(picture.field(field, fmt.lines, fmt.samples), fmt, view.shift)
        if view.large:
            frame = large(frame, fmt, view.large)
        if view.caption:
            return lettering.caption(frame, fmt, view.caption.lines, high=view.caption.high)
        if view.left:
            # The number goes round the corners, so that it never stands long in one place.
            return lettering.count(frame, fmt, view.left, corner=int(view.left) % 4)
        return np.ascontiguousarray(frame)


def _code_frame(page: Code, fmt: Format) -> Frame:
    # Codes are asked for at the end of a visit, and need a library of their own.
    from appliance.patterns.code_page import code_page
    from appliance.records.tally import code, code_words

    return code_page(fmt, code(page.text), code_words(page.visit, page.page, page.pages))


def shifted(frame: Frame, fmt: Format, cells: tuple[int, int]) -> Frame:
    """The frame moved right and down by whole cells; its edges are drawn out, so that it still fills the screen.

    A cell is as many lines high as thin lines need to get out of their own way, and both fields keep what is theirs.
    """
    if cells == (0, 0):
        return frame
    across, down = cells[0] * CELL, cells[1] * 2 * fmt.lines_per_row
    moved: Frame = np.pad(frame, ((down, 0), (across, 0)), mode="edge")[: fmt.lines, : fmt.samples]
    return moved
