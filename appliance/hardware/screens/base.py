"""What every screen shares and its caller meets: flips and troubles. Imports nothing, for the first picture's sake."""

from collections import namedtuple

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import NamedTuple

    class Flip(NamedTuple):
        """A picture really went up: ``stamp`` in seconds of the monotonic clock, ``sequence`` the device's own count.

        Reckon fields from stamps; sequence numbers only cross-check (on some kernels an interlaced one steps by two).
        """

        stamp: float
        sequence: int
else:
    Flip = namedtuple("Flip", "stamp sequence")


class ScreenTrouble(Exception):
    """The screen cannot do it now; the message says what is missing and what to do. Worth trying again later."""


class NoConnector(ScreenTrouble):
    """No composite connector (or none of the name asked for) on any card."""


class CardBusy(ScreenTrouble):
    """Another program holds the card, or the device may not be opened."""


class CardClosed(CardBusy):
    """The user may not open the device, or not yet: while the system starts, udev still has to hand it over."""


class ModeRefused(ScreenTrouble):
    """The kernel or the encoder's bounds refused the modeline or the ``TV mode``."""
