"""A desktop window as the screen and its keyboard as the keys: the box without a box.

Pictures are shown in the shape they have on a 4:3 tube, an interlaced one as a whole frame; flips come at the
format's exact field rate by the clock handed in, whatever the desktop's own rate is.
"""

from __future__ import annotations

import os
from fractions import Fraction
from time import monotonic
from typing import TYPE_CHECKING, Any

from appliance.errors import Refused
from appliance.hardware.screens.base import Flip, ModeRefused, ScreenTrouble
from appliance.video.bounds import check_bounds
from appliance.video.formats import FORMATS

if TYPE_CHECKING:
    from collections.abc import Callable

    from appliance.video.modeline import Mode, Modeline

HEIGHT = 720
"""Lines of the desktop that the window takes at first."""

_RED, _GREEN, _BLUE = 0xFF0000, 0x00FF00, 0x0000FF


def shape(line: Modeline) -> Fraction:
    """Width over height of the frame as a 4:3 tube shows it; a modeline of no format's is taken for 4:3 whole."""
    for fmt in FORMATS.values():
        if fmt.modeline == line:
            return fmt.samples * fmt.pixel_aspect / fmt.lines
    return Fraction(4, 3)


def fit(width: int, height: int, ratio: Fraction) -> tuple[int, int]:
    """The largest size of that shape in a window of ``width`` × ``height``, in whole pixels."""
    if Fraction(width, height) >= ratio:
        return max(1, round(height * ratio)), height
    return width, max(1, round(width / ratio))


class WindowSurface:
    """A picture kept for the window, and the same stretched to the size it is shown at."""

    def __init__(self, rows: Any, samples: int, lines: int) -> None:
        import pygame

        data = memoryview(rows).cast("B")
        if len(data) != 4 * samples * lines:
            raise ValueError(f"{len(data)} bytes given for {lines} lines of {samples} samples")
        self.samples, self.lines, self.freed = samples, lines, False
        self.picture = pygame.Surface((samples, lines), 0, 32, (_RED, _GREEN, _BLUE, 0))
        self.picture.get_buffer().write(bytes(data), 0)
        self._stretched: pygame.Surface | None = None

    def stretched(self, width: int, height: int, smooth: bool) -> Any:
        """The whole picture at this size. Made once a size, so that a moving window costs a copy and no stretching."""
        if self._stretched is None or self._stretched.get_size() != (width, height):
            self._stretched = _stretch(self.picture, width, height, smooth)
        return self._stretched


def _stretch(picture: Any, width: int, height: int, smooth: bool) -> Any:
    """Lines are repeated whole where that goes evenly, so that they stay lines; the rest is smoothed if asked for."""
    from pygame.transform import scale, smoothscale

    if not smooth:
        return scale(picture, (width, height))
    if height % picture.get_height() == 0:
        picture = scale(picture, (picture.get_width(), height))
    return smoothscale(_edged(picture, width > picture.get_width(), height > picture.get_height()), (width, height))


def _edged(picture: Any, across: bool, down: bool) -> Any:
    """The picture with its last sample and line once more where it is to be enlarged.

    pygame's enlarging lays the last sample, not its far edge, on the far edge: without this the picture came out a
    sample too large.
    """
    import pygame

    if not (across or down):
        return picture
    edged = pygame.Surface((picture.get_width() + across, picture.get_height() + down), 0, picture)
    for place in ((across, down), (across, 0), (0, down), (0, 0)):
        edged.blit(picture, place)
    return edged


class WindowScreen:
    """The protocol Screen in a desktop window; the window can be resized, and closed by its user (:attr:`closed`)."""

    name = "window"

    def __init__(self, clock: Callable[[], float] = monotonic, *, height: int = HEIGHT, smooth: bool = True) -> None:
        """Open the window; raises ``ScreenTrouble`` when there is no desktop."""
        os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
        os.environ.setdefault("SDL_VIDEO_X11_WMCLASS", "fieldmouse")  # what the desktop files the window under
        import pygame

        self._clock, self._smooth = clock, smooth
        self.closed = False
        width = round(height * shape(FORMATS["480i"].modeline))
        try:
            pygame.display.init()
            pygame.display.set_caption("Fieldmouse")
            self._display = pygame.display.set_mode((width, height), pygame.RESIZABLE)
        except pygame.error as error:
            raise ScreenTrouble(f"no window can be opened here: {error}") from error
        self._mode: Mode | None = None
        self._up: tuple[WindowSurface, tuple[int, int]] | None = None
        self._pending: tuple[WindowSurface, tuple[int, int]] | None = None
        self._origin = self._field = 0.0
        self._number = 0

    @property
    def modeline(self) -> Modeline | None:
        """The modeline whose fields run, if any."""
        return self._mode.modeline if self._mode else None

    def surface(self, rows: Any, samples: int, lines: int) -> WindowSurface:
        """A copy of ``rows``; raises ``ValueError`` when the sizes do not agree."""
        return WindowSurface(rows, samples, lines)

    def free(self, surface: WindowSurface) -> None:
        """Forget the surface; raises ``RuntimeError`` for one on the screen, under way to it, or freed before."""
        if surface.freed or any(shown and shown[0] is surface for shown in (self._up, self._pending)):
            raise RuntimeError("the surface freed is on the screen, under way to it, or was freed before")
        surface.freed = True

    def start(self, mode: Mode, surface: WindowSurface, at: tuple[int, int] = (0, 0)) -> None:
        """Show the picture and begin its fields now; raises ``ModeRefused`` for what the composite encoder refuses."""
        try:
            check_bounds(mode)
        except Refused as refused:
            raise ModeRefused(str(refused)) from refused
        _check(surface, at, mode.modeline)
        self._mode, self._field = mode, mode.modeline.field_time
        self._origin, self._number = self._clock(), 0
        self._up = self._pending = (surface, at)
        self.redraw()

    def flip(self, surface: WindowSurface, at: tuple[int, int] = (0, 0)) -> None:
        """Show the window at the next field; raises ``RuntimeError`` when one is under way or nothing was started."""
        if self._pending or self._mode is None:
            raise RuntimeError("a flip is under way already" if self._pending else "no mode was started yet")
        _check(surface, at, self._mode.modeline)
        self._pending, self._number = (surface, at), self._field_at(self._clock()) + 1

    def fileno(self) -> None:
        """Nothing to wait on: fields begin by the clock."""

    def due(self) -> float | None:
        """When the field begins in which the flip under way is shown."""
        return self._origin + self._number * self._field if self._pending else None

    def read(self, now: float) -> list[Flip]:
        """The flip under way, once its field has begun; read late it is shown, and stamped, in a later field."""
        due = self.due()
        if due is None or now < due:
            return []
        shown, self._pending = self._pending, None
        if shown is not self._up:  # a start has drawn its picture already
            self._up, self._number = shown, max(self._number, self._field_at(now))
            self.redraw()
        return [Flip(self._origin + self._number * self._field, self._number)]

    def redraw(self) -> None:
        """Draw what is up, as large as the window lets it be, in the middle, black around it."""
        import pygame

        if self._mode is None or self._up is None or self.closed:
            return
        line, (surface, (x, y)) = self._mode.modeline, self._up
        width, height = fit(*self._display.get_size(), shape(line))
        across, down = Fraction(width, line.hdisplay), Fraction(height, line.vdisplay)
        whole = surface.stretched(round(surface.samples * across), round(surface.lines * down), self._smooth)
        left, top = (self._display.get_width() - width) // 2, (self._display.get_height() - height) // 2
        if left or top:
            self._display.fill(0)
        self._display.blit(whole, (left, top), (round(x * across), round(y * down), width, height))
        pygame.display.flip()

    def close(self) -> None:
        """Close the window."""
        import pygame

        self.closed = True
        self._mode = self._up = self._pending = None
        pygame.display.quit()

    def _field_at(self, now: float) -> int:
        # A hair is added so that a clock standing where a field begins is in that field.
        return int((now - self._origin) / self._field + 1e-6)


def _check(surface: WindowSurface, at: tuple[int, int], line: Modeline) -> None:
    x, y = at
    inside = 0 <= x <= surface.samples - line.hdisplay and 0 <= y <= surface.lines - line.vdisplay
    if surface.freed or not inside:
        raise ValueError(
            f"a window at {x}, {y} does not lie in a surface in use of {surface.samples} × {surface.lines}"
        )
