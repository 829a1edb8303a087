"""Counting fields: how many a time takes, when each comes, and from time stamps how many went by or were missed."""

from fractions import Fraction
from math import ceil

from appliance.video.formats import Format

Seconds = int | float | Fraction


def exact_seconds(duration: Seconds) -> Fraction:
    """``duration`` as it was written: 0.1 s is a tenth and not the float just above, so that five fields stay five.

    Raises ``ValueError`` for infinity and not-a-number.
    """
    return duration if isinstance(duration, Fraction) else Fraction(str(duration))


def fields_for(fmt: Format, duration: Seconds) -> int:
    """Fields that last at least ``duration`` seconds: rounded up, and none for nothing.

    Raises ``ValueError`` for a negative or unbounded time.
    """
    if duration < 0:
        raise ValueError(f"a duration of {duration} s is negative")
    return ceil(exact_seconds(duration) * fmt.field_rate)


def time_of_field(fmt: Format, number: int) -> Fraction:
    """Seconds from the start of field 0 to the start of field ``number``."""
    return number * fmt.field_time


def fields_between(fmt: Format, earlier: float, later: float) -> int:
    """Fields from one time stamp in seconds to another, to the nearest whole one; negative when turned round.

    Stamps carry jitter, so the nearest is right as long as the two together are off by less than half a field. A box
    whose clock differs from the encoder's by 50 parts in a million is half a field off after three minutes.
    """
    return round(Fraction(later - earlier) * fmt.field_rate)


class FieldCount:
    """Numbers the fields by the time stamps of the flips, and knows how many went by without one.

    Each stamp is reckoned from the one before it, so that a difference between the clocks does not add up. A flip
    stamped late or early is made good by the next one; a stamp too many can hide one miss.

    ``step``: fields from one flip to the next where none is missed: 1, or 2 on a kernel that flips once a frame.
    """

    def __init__(self, fmt: Format, step: int = 1) -> None:
        """Nothing counted yet; the first stamp is field 0."""
        self.number = 0
        self._rate = float(fmt.field_rate)  # a product of exact fractions each field would be felt on a slow board
        self._step = step
        self._due = 0
        self._last: float | None = None
        self._resting = False

    @property
    def missed(self) -> int:
        """Fields since the start that should have had a flip and had none."""
        return max(0, self.number - self._due)

    def feed(self, stamp: float) -> int:
        """Take the time stamp of a flip, in seconds; the number of the field it falls in.

        A stamp that is not later than the last, as after a clock set back, counts no field.
        """
        gone = 0 if self._last is None else max(0, round((stamp - self._last) * self._rate))
        self.number += gone
        self._due = self._next_due(gone)
        self._last, self._resting = stamp, False
        return self.number

    def rest(self) -> None:
        """A still picture follows: the fields up to the next stamp are counted, and none of them is missed."""
        self._resting = True

    def _next_due(self, gone: int) -> int:
        if self._last is None:
            return 0
        ahead = self._due + (gone if self._resting else self._step)
        return min(ahead, self.number + self._step)
