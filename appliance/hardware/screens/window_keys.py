"""The keyboard of the window as keys."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from appliance.presses.edges import BACK, DIGITS, FORWARD, GO, NOTE, VARY, Edge

if TYPE_CHECKING:
    from appliance.hardware.screens.window import WindowScreen

POLL = 0.02
"""Seconds between looks at the window's events; a desktop window has nothing that could be waited on."""


def keyboard() -> dict[int, str]:
    """pygame's key codes → logical keys: arrows, Return, v, n, the digits of both rows and pad."""
    import pygame

    keys = {
        pygame.K_RIGHT: FORWARD, pygame.K_UP: FORWARD, pygame.K_LEFT: BACK, pygame.K_DOWN: BACK,
        pygame.K_RETURN: GO, pygame.K_KP_ENTER: GO, pygame.K_v: VARY, pygame.K_n: NOTE,
    }  # fmt: skip
    for digit in DIGITS:
        keys[getattr(pygame, f"K_{digit}")] = keys[getattr(pygame, f"K_KP{digit}")] = digit
    return keys


class WindowKeys:
    """The protocol Keys on the window's keyboard; it also sees to the window's other events.

    Closing the window lifts every key and sets the window's ``closed``.
    """

    def __init__(self, window: WindowScreen) -> None:
        self._window, self._keyboard = window, keyboard()
        self._down: set[int] = set()
        self._edges: list[Edge] = []
        self._due: float | None = None
        self._first = True

    @property
    def closed(self) -> bool:
        """Whether the user closed the window."""
        return self._window.closed

    def fileno(self) -> None:
        """Nothing to wait on."""

    def due(self) -> float | None:
        """When to look next: at once at first, then fifty times a second until the window is closed."""
        if self.closed:
            return None
        return 0.0 if self._due is None else self._due

    def read(self, now: float) -> list[Edge]:
        """The edges since the last call, stamped ``now``: the desktop gives no times."""
        self._due = now + POLL
        if not self.closed:
            self._look(now)
        edges, self._edges = self._edges, []
        return edges

    def close(self) -> None:
        """Nothing of its own to let go of: the window closes itself."""
        self._down.clear()

    def _look(self, now: float) -> None:
        import pygame

        if self._first:
            self._first = False
            pressed = pygame.key.get_pressed()
            for code in self._keyboard:
                if pressed[code]:
                    self._move(code, True, now)
        for event in pygame.event.get():
            self._take(event, now)

    def _take(self, event: Any, now: float) -> None:
        import pygame

        if event.type in (pygame.KEYDOWN, pygame.KEYUP):
            self._move(event.key, event.type == pygame.KEYDOWN, now)
        elif event.type in (pygame.QUIT, pygame.WINDOWFOCUSLOST):
            for code in sorted(self._down):
                self._move(code, False, now)
            self._window.closed = self._window.closed or event.type == pygame.QUIT
        elif event.type in (pygame.VIDEORESIZE, pygame.WINDOWEXPOSED):
            self._window.redraw()

    def _move(self, code: int, down: bool, now: float) -> None:
        """One key of the keyboard moved. Two that mean the same are one key: down with the first, up with the last."""
        key = self._keyboard.get(code)
        if key is None or down == (code in self._down):
            return
        others = any(self._keyboard[c] == key for c in self._down - {code})
        (self._down.add if down else self._down.discard)(code)
        if not others:
            self._edges.append(Edge(key, down, now))
