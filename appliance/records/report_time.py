"""The moments of a soak on one line: how long the box ran, when that was, and where nobody can tell.

Monotonic seconds of one boot can be subtracted; between two boots only the wall clock tells, and only where it had been
set. A clock that was set later in a boot tells the earlier moments of that boot, too.
"""

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, tzinfo
from itertools import accumulate, pairwise
from typing import NamedTuple

from appliance.records.entries import Moment, SoakRecord

NOT_SET = "time not set"
_MOST, _FURTHEST = 1e9, 1e11  # seconds; a disk's rubbish may say infinity


@dataclass(frozen=True)
class _Boot:
    """``first`` and ``last`` monotonic seconds, and what is to be added to one for wall seconds (None: unknown)."""

    first: float
    last: float
    wall: float | None


class Sign(NamedTuple):
    """A moment that was kept, and the soak's own seconds at it."""

    moment: Moment
    elapsed: float


class Course:
    """The moments of a record in order; ``zone`` is the time zone they are told in, None for the machine's own.

    ``boots``: their names in order. ``signs``: of life, in order.
    """

    def __init__(self, record: SoakRecord, zone: tzinfo | None = None) -> None:
        found: dict[str, list[Moment]] = {}
        for moment in moments(record):
            found.setdefault(moment.boot, []).append(moment)
        self._zone, self.boots = zone, tuple(found)
        self._boots = {name: _boot(there) for name, there in found.items()}
        before = accumulate((boot.last - boot.first for boot in self._boots.values()), initial=0.0)
        self._before = dict(zip(found, before, strict=False))
        self._rank = {name: n for n, name in enumerate(found)}
        kept = [Sign(event.moment, event.elapsed) for event in record.events]
        kept += [Sign(beat.moment, beat.elapsed) for beat in record.beats]
        self.signs = sorted((Sign(record.begun, 0.0), *kept), key=lambda sign: self._key(sign.moment))
        self._keys = [self._key(sign.moment) for sign in self.signs]

    @property
    def length(self) -> float:
        """Seconds the box ran from the first moment to the last."""
        return sum(boot.last - boot.first for boot in self._boots.values())

    def ran(self, moment: Moment) -> float:
        """Seconds the box had run at a moment of the record."""
        return self._before[moment.boot] + sane(moment.at) - self._boots[moment.boot].first

    def boot_of(self, moment: Moment) -> int:
        """The place in ``boots`` of a moment's own."""
        return self._rank[moment.boot]

    def boot_at(self, ran: float) -> int:
        """The place in ``boots`` of the one in which the box had run so long."""
        return max((n for n, boot in enumerate(self.boots) if self._before[boot] <= ran), default=0)

    def last_sign(self, before: Moment | None = None) -> Sign:
        """The last sign of life, or the last before a moment of the record."""
        place = len(self.signs) if before is None else bisect_left(self._keys, self._key(before))
        return self.signs[max(place - 1, 0)]

    def between(self, earlier: Moment, later: Moment) -> float | None:
        """Seconds from one moment to another; None when nobody can tell."""
        if earlier.boot == later.boot:
            return max(sane(later.at) - sane(earlier.at), 0.0)
        ends = self._wall(earlier), self._wall(later)
        if ends[0] is None or ends[1] is None or ends[1] < ends[0]:
            return None
        return ends[1] - ends[0]

    def when(self, moment: Moment | None) -> str:
        """Date and time in words; :data:`NOT_SET` where the clock had not been set."""
        wall = None if moment is None else self._wall(moment)
        if moment is None or wall is None:
            return NOT_SET
        try:
            # Without a zone the naive time is the machine's own, which astimezone then names.
            told = datetime.fromtimestamp(wall, self._zone).astimezone(self._zone)
        except (ValueError, OverflowError, OSError):
            return NOT_SET
        offset = told.strftime("%z")
        name = "UTC" if offset == "+0000" else f"UTC{offset[:3]}:{offset[3:5]}"
        return f"{told:%Y-%m-%d %H:%M} {name}" + ("" if moment.synced else " (clock set later)")

    def _key(self, moment: Moment) -> tuple[int, float]:
        return self._rank[moment.boot], sane(moment.at)

    def _wall(self, moment: Moment) -> float | None:
        if moment.synced:
            return moment.wall if abs(moment.wall) < _FURTHEST else None
        offset = self._boots[moment.boot].wall
        return None if offset is None else offset + sane(moment.at)


def moments(record: SoakRecord) -> Iterator[Moment]:
    """Every moment of a record, boots in the order in which they were."""
    yield record.begun
    yield from (event.moment for event in record.events)
    yield from (beat.moment for beat in record.beats)
    if record.ended:
        yield record.ended


def sane(seconds: float) -> float:
    """Seconds as a drawing can bear them."""
    return min(max(seconds, 0.0), _MOST) if seconds == seconds else 0.0  # noqa: PLR0124 - false for what is no number


def spell(seconds: float | None) -> str:
    """A length of time in words."""
    if seconds is None:
        return "nobody can tell how long"
    if seconds < 120:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 120 else f"{minutes // 60}:{minutes % 60:02} hours"


def gaps(signs: Iterable[Sign], least: float) -> Iterator[tuple[Sign, float]]:
    """Where, within a boot, the soak's own time went on without a sign of life for ``least`` seconds; and how long."""
    for (before, then), (after, now) in pairwise(signs):
        away = sane(after.at) - sane(before.at)
        if before.boot == after.boot and min(away, sane(now) - sane(then)) >= least:
            yield Sign(before, then), away


def _boot(found: list[Moment]) -> _Boot:
    at = [sane(moment.at) for moment in found]
    set_ones = [moment.wall - sane(moment.at) for moment in found if moment.synced and abs(moment.wall) < _FURTHEST]
    return _Boot(min(at), max(at), set_ones[-1] if set_ones else None)
