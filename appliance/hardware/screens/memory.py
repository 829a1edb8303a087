"""A screen that keeps what it is shown, for tests, rehearsals and drawing to files. Imports nothing heavy."""

from appliance.hardware.screens.base import Flip, ModeRefused
from appliance.video.bounds import check_bounds

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Container
    from typing import Any

    from appliance.video.modeline import Mode


class MemorySurface:
    """Rows kept as bytes: ``lines`` × ``samples`` little-endian XRGB words."""

    def __init__(self, rows: "Any", samples: int, lines: int) -> None:
        self.rows = bytes(memoryview(rows).cast("B"))
        if len(self.rows) != 4 * samples * lines:
            raise ValueError(f"{len(self.rows)} bytes given for {lines} lines of {samples} samples")
        self.samples, self.lines, self.freed = samples, lines, False


class MemoryScreen:
    """The protocol Screen without a device: fields begin at ``origin + n·field time`` of the clock handed in.

    ``late`` holds the numbers of flips (the first is 0) that come one field later than asked, as a busy machine's
    do; ``lost`` those that never come. ``trouble``, when set, is raised by every call, as by a card that went away.
    ``on_flip`` hears of each picture that went up.
    """

    name = "memory"

    def __init__(
        self,
        clock: "Callable[[], float]",
        *,
        late: "Container[int]" = (),
        lost: "Container[int]" = (),
        on_flip: "Callable[[MemorySurface, tuple[int, int], Flip], None] | None" = None,
    ) -> None:
        self.mode: Mode | None = None
        self.up: tuple[MemorySurface, tuple[int, int]] | None = None
        self.trouble: Exception | None = None
        self.live = 0
        self._clock, self._late, self._lost, self._on_flip = clock, late, lost, on_flip
        self._origin = self._field = 0.0
        self._flips = 0
        self._pending: tuple[MemorySurface, tuple[int, int]] | None = None
        self._boundary: float | None = None

    def surface(self, rows: "Any", samples: int, lines: int) -> MemorySurface:
        """A copy of ``rows``; raises ``ValueError`` when the sizes do not agree."""
        self._ask()
        self.live += 1
        return MemorySurface(rows, samples, lines)

    def free(self, surface: MemorySurface) -> None:
        """Forget the surface; raises ``RuntimeError`` for one on the screen or freed before."""
        held = [shown[0] for shown in (self.up, self._pending) if shown]
        if surface in held or surface.freed:
            raise RuntimeError("the surface freed is on the screen, under way to it, or was freed before")
        surface.freed = True
        self.live -= 1

    def start(self, mode: "Mode", surface: MemorySurface, at: tuple[int, int] = (0, 0)) -> None:
        """Begin fields anew with ``mode``; raises ``ModeRefused`` outside the encoder's bounds."""
        self._ask()
        try:
            check_bounds(mode)
        except ValueError as error:
            raise ModeRefused(str(error)) from error
        self.mode, self._field = mode, mode.modeline.field_time
        self._origin = self._clock()
        self._check(surface, at)
        self._pending, self._boundary = (surface, at), self._origin

    def flip(self, surface: MemorySurface, at: tuple[int, int] = (0, 0)) -> None:
        """Ask for the window at the next field; raises ``RuntimeError`` when a flip is under way already."""
        self._ask()
        if self._pending:
            raise RuntimeError("a flip is under way already")
        self._check(surface, at)
        self._pending, self._boundary = (surface, at), self._next_boundary()

    def fileno(self) -> None:
        """Nothing to wait on: time alone brings flips here."""

    def due(self) -> float | None:
        """When the flip under way comes."""
        return self._boundary

    def read(self, now: float) -> list[Flip]:
        """The flip under way, when its field has begun."""
        self._ask()
        if self._pending is None or self._boundary is None or now < self._boundary:
            return []
        self.up, flip = self._pending, Flip(self._boundary, round((self._boundary - self._origin) / self._field))
        self._pending = self._boundary = None
        if self._on_flip:
            self._on_flip(*self.up, flip)
        return [flip]

    def frame(self) -> bytes:
        """The picture on the screen: active lines × samples of little-endian XRGB words; b"" when there is none."""
        if self.up is None or self.mode is None:
            return b""
        surface, (x, y) = self.up
        samples, lines = self.mode.modeline.hdisplay, self.mode.modeline.vdisplay
        starts = range(4 * (y * surface.samples + x), 4 * ((y + lines) * surface.samples + x), 4 * surface.samples)
        return b"".join(surface.rows[start : start + 4 * samples] for start in starts)

    def close(self) -> None:
        """Forget everything."""
        self.up = self._pending = self._boundary = None

    def _next_boundary(self) -> float | None:
        number, self._flips = self._flips, self._flips + 1
        if number in self._lost:
            return None
        # A hair is added so that a clock standing on a boundary asks for the next one.
        fields = int((self._clock() - self._origin) / self._field + 1e-6) + (2 if number in self._late else 1)
        return self._origin + fields * self._field

    def _check(self, surface: MemorySurface, at: tuple[int, int]) -> None:
        assert self.mode is not None
        width, height = at[0] + self.mode.modeline.hdisplay, at[1] + self.mode.modeline.vdisplay
        if surface.freed or width > surface.samples or height > surface.lines:
            raise ValueError(f"window at {at} does not lie in a live surface of {surface.lines} lines")

    def _ask(self) -> None:
        if self.trouble is not None:
            raise self.trouble
