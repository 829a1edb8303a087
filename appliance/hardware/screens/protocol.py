"""The protocol Screen, in writing: for readers and type checkers, and not imported before the first picture."""

from typing import Any, Protocol

from appliance.hardware.screens.base import Flip
from appliance.video.modeline import Mode


class Screen(Protocol):
    """A place where pictures go up, at field boundaries.

    Every screen keeps these clauses; ``tests/hardware/screens/contract.py`` tries each of them on each screen.

    * A surface is written once by :meth:`surface` and never changes; it may be larger than the mode, and a window of
      the mode's size onto it is shown. Still pictures cost nothing after they went up.
    * :meth:`start` sets mode and picture together, blocking, and may be called again at any time with another mode;
      a flip under way is forgotten by it.
    * After :meth:`start` and after each :meth:`flip` exactly one :class:`Flip` comes out of :meth:`read`, stamped
      with the start of the field in which the picture was first scanned.
    * One flip at a time: a second one before the first came out of :meth:`read` raises ``RuntimeError``.
    * The caller waits for ``fileno()`` to be readable (when it is not None) or until ``due()`` (when it is not None),
      and then calls ``read(now)``. Neither is set while nothing is under way.
    * The surface on the screen, or being flipped to, is never freed; freeing another gives its memory back.
    """

    name: str

    def surface(self, rows: Any, samples: int, lines: int) -> Any:
        """Take a copy of ``rows``, a C-contiguous buffer of ``lines`` × ``samples`` little-endian XRGB words."""

    def free(self, surface: Any) -> None:
        """Give the surface's memory back."""

    def start(self, mode: Mode, surface: Any, at: tuple[int, int] = (0, 0)) -> None:
        """Put up ``mode`` and the window at sample, line ``at`` of ``surface`` together; raises ``ScreenTrouble``."""

    def flip(self, surface: Any, at: tuple[int, int] = (0, 0)) -> None:
        """Put up the window at ``at`` of ``surface`` at the next field; raises ``ScreenTrouble``."""

    def fileno(self) -> int | None:
        """What to wait on for the next flip, or None."""

    def due(self) -> float | None:
        """When, in seconds of the monotonic clock, :meth:`read` should be called at the latest, or None."""

    def read(self, now: float) -> list[Flip]:
        """The flips that came since; raises ``ScreenTrouble`` when the screen is lost."""

    def close(self) -> None:
        """Let go of the screen and everything taken for it."""
