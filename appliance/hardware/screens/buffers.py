"""Pictures in the card's memory: written once, in whole rows, in order, and never read back.

The memory is write-combined on a Pi: whole rows in order go at full speed, reading or mending crawls. A window onto
a larger picture is a framebuffer that begins further in, so a moving picture costs no copy.
"""

from __future__ import annotations

import errno

from appliance.hardware.screens import uapi

TYPE_CHECKING = False
if TYPE_CHECKING:
    import mmap
    from typing import Any

    from appliance.hardware.screens import drm

WIDEST, TALLEST = 4096, 4096
"""Samples and lines of the largest surface. What an encoder bounds (drm-rp1-vec: 960 × 738) is a framebuffer, here a
window of the mode's size and no more; of a surface only the pitch has to fit, 16 bits in vc4 (from memory)."""

MOST_WINDOWS = 1200
"""Framebuffers kept for one picture: a moving pattern comes round after fewer positions."""

MOST_SPARE = 4
"""Buffers kept for the next pictures of the same size."""


class Surface:
    """A picture in the card's memory, and the framebuffers that show windows of it, by ``(x, y, width, height)``."""

    __slots__ = ("handle", "lines", "memory", "pitch", "samples", "windows")

    def __init__(self, samples: int, lines: int, handle: int, pitch: int, memory: mmap.mmap) -> None:
        self.samples, self.lines, self.handle, self.pitch = samples, lines, handle, pitch
        self.memory: mmap.mmap | None = memory
        self.windows: dict[tuple[int, int, int, int], int] = {}

    def window(self, at: tuple[int, int], width: int, height: int) -> tuple[int, int, int, int]:
        """The window at ``at``; raises ``ValueError`` when it does not lie wholly in a surface in use."""
        x, y = at
        if self.memory is None:
            raise ValueError("the surface was freed")
        if not (0 <= x <= self.samples - width and 0 <= y <= self.lines - height):
            size = f"{self.samples} × {self.lines}"
            raise ValueError(f"a window of {width} × {height} at {x}, {y} does not lie in a surface of {size}")
        return x, y, width, height


class Buffers:
    """The surfaces of one card, and spare ones for the next pictures."""

    def __init__(self, card: drm.Card) -> None:
        self._card = card
        self._used: list[Surface] = []
        self._spare: list[Surface] = []

    def take(self, rows: Any, samples: int, lines: int) -> Surface:
        """A surface holding ``rows``; raises ``ValueError`` for a wrong size and ``OSError`` for want of memory."""
        data = memoryview(rows).cast("B")
        if not (0 < samples <= WIDEST and 0 < lines <= TALLEST):
            raise ValueError(f"a picture of {samples} × {lines}: at most {WIDEST} × {TALLEST} can be kept")
        if len(data) != 4 * samples * lines:
            raise ValueError(f"{len(data)} bytes given for {lines} lines of {samples} samples")
        surface = self._unused(samples, lines)
        _write(surface, data)
        self._used.append(surface)
        return surface

    def give(self, surface: Surface) -> None:
        """Take a surface back, keeping its memory for another of its size. ``RuntimeError`` if it was freed before."""
        if surface not in self._used:
            raise RuntimeError("the surface was freed before")
        self._used.remove(surface)
        self.forget(surface)
        spare = Surface(surface.samples, surface.lines, surface.handle, surface.pitch, surface.memory)  # type: ignore[arg-type] # in use: has memory
        surface.memory = None
        self._spare.append(spare)
        while len(self._spare) > MOST_SPARE:
            self._destroy(self._spare.pop(0))

    def frame(self, surface: Surface, at: tuple[int, int], width: int, height: int, keep: set[int]) -> int:
        """The framebuffer that shows the window; the oldest other one but those in ``keep`` gives way if need be."""
        window = surface.window(at, width, height)
        if window not in surface.windows:
            if len(surface.windows) >= MOST_WINDOWS:
                self._remove(surface, next(w for w, fb in surface.windows.items() if fb not in keep))
            surface.windows[window] = self._add(surface, window)
        return surface.windows[window]

    def forget_other_sizes(self, width: int, height: int) -> None:
        """Remove the framebuffers of other sizes than the mode's, none of which is on the screen any more."""
        for surface in self._used:
            for window in list(surface.windows):
                if window[2:] != (width, height):
                    self._remove(surface, window)

    def forget(self, surface: Surface) -> None:
        """Remove every framebuffer of the surface."""
        for window in list(surface.windows):
            self._remove(surface, window)

    def close(self) -> None:
        """Unmap everything: a mapping left would keep the card open. The kernel frees the rest with the card."""
        for surface in self._used + self._spare:
            if surface.memory is not None:
                surface.memory.close()
                surface.memory = None
        self._used.clear()
        self._spare.clear()

    def _unused(self, samples: int, lines: int) -> Surface:
        for spare in self._spare:
            if (spare.samples, spare.lines) == (samples, lines):
                self._spare.remove(spare)
                return spare
        try:
            return self._create(samples, lines)
        except OSError as error:
            if error.errno != errno.ENOMEM or not self._spare:
                raise
        while self._spare:
            self._destroy(self._spare.pop())
        return self._create(samples, lines)

    def _create(self, samples: int, lines: int) -> Surface:
        made = self._card.call(uapi.CREATE_DUMB, width=samples, height=lines, bpp=32)
        try:
            offset = self._card.call(uapi.MAP_DUMB, handle=made["handle"])["offset"]
            memory = self._card.system.map(self._card.fd, made["size"], offset)
        except OSError:
            self._card.call(uapi.DESTROY_DUMB, handle=made["handle"])
            raise
        return Surface(samples, lines, made["handle"], made["pitch"], memory)

    def _destroy(self, surface: Surface) -> None:
        assert surface.memory is not None
        surface.memory.close()
        surface.memory = None
        self._card.call(uapi.DESTROY_DUMB, handle=surface.handle)

    def _add(self, surface: Surface, window: tuple[int, int, int, int]) -> int:
        x, y, width, height = window
        made = self._card.call(
            uapi.ADDFB2,
            width=width,
            height=height,
            pixel_format=uapi.XRGB8888,
            handles=surface.handle,
            pitches=surface.pitch,
            offsets=y * surface.pitch + 4 * x,
        )
        return int(made["fb_id"])

    def _remove(self, surface: Surface, window: tuple[int, int, int, int]) -> None:
        self._card.call(uapi.RMFB, fb_id=surface.windows.pop(window))


def _write(surface: Surface, data: memoryview) -> None:
    assert surface.memory is not None
    row = 4 * surface.samples
    if surface.pitch == row:
        surface.memory[: len(data)] = data
        return
    for line in range(surface.lines):
        surface.memory[line * surface.pitch : line * surface.pitch + row] = data[line * row : (line + 1) * row]
