"""The protocol Keys: a source of edges."""

from typing import Protocol

from appliance.presses.edges import Edge


class KeysTrouble(Exception):
    """This source of keys cannot be opened or was lost; the message says which and why. Worth trying again later."""


class Keys(Protocol):
    """Where edges come from: raw ones, chatter included; debouncing is :mod:`appliance.presses`' work.

    * A key that is down when the source opens comes out of the first :meth:`read` as an edge down.
    * The caller waits for ``fileno()`` to be readable (when it is not None) or until ``due()`` (when it is not None).
    * When a device goes away, each of its keys that was down gives an edge up. A source that is nothing without the
      device, such as the GPIO chip, then raises :class:`KeysTrouble` from the next :meth:`read` on, and stays
      readable until it is closed, so that its owner comes to hear of it.
    """

    def fileno(self) -> int | None:
        """What to wait on, or None."""

    def due(self) -> float | None:
        """When :meth:`read` should be called at the latest, in seconds of the monotonic clock, or None."""

    def read(self, now: float) -> list[Edge]:
        """The edges since the last call, in order; never blocks. Raises :class:`KeysTrouble` when all is lost."""

    def close(self) -> None:
        """Let go of every line and device; a second call does nothing."""
