"""The records of a viewing that are on their way to the store: none is forgotten before the store has it."""

from appliance.activities.viewing_record import Record, TakenBack

RETRY_TIME = 10.0
"""Seconds until what was not kept is tried again."""


class Ledger:
    """Hands out each record once, and again after it was not kept."""

    def __init__(self) -> None:
        self._waiting: list[Record] = []
        self._handed: dict[int, Record] = {}
        self._failed: list[Record] = []
        self._has_failed = False
        self.retry_at: float | None = None

    @property
    def open(self) -> int:
        """How many records the store does not have."""
        return len(self._waiting) + len(self._handed) + len(self._failed)

    @property
    def late(self) -> int:
        """How many records the store does not have since it refused one; what is merely on its way is not late."""
        return self.open if self._has_failed else 0

    def add(self, record: Record) -> None:
        """Another record. What failed before it is tried again with it, so that the store has all in their order."""
        self._take_up_failed()
        self._waiting.append(record)

    def drain(self) -> list[Record]:
        """What is to be kept now."""
        records, self._waiting = self._waiting, []
        self._handed |= {record.number: record for record in records}
        return records

    def rest(self) -> list[Record]:
        """All that is not on its way: nobody comes again to fetch it."""
        self._take_up_failed()
        return self.drain()

    def kept(self, number: int) -> Record | None:
        """The store has it; None for one that was not handed out, or that says nothing to the store yet."""
        record = self._handed.pop(number, None)
        if isinstance(record, TakenBack) and any(failed.number == record.note for failed in self._failed):
            self._failed.append(record)  # the store could not know the note; both go again
            return None
        self._has_failed = self._has_failed and self.open > 0
        return record

    def lost(self, number: int, now: float) -> Record | None:
        """The store has it not; it goes again after a while. None for one that was not handed out."""
        record = self._handed.pop(number, None)
        if record is not None:
            self._has_failed = True
            self._failed.append(record)
            self._failed.sort(key=lambda record: record.number)
            self.retry_at = now + RETRY_TIME
        return record

    def retry(self, now: float) -> None:
        """Hand out again what failed, once it is time."""
        if self.retry_at is not None and self.retry_at <= now:
            self._take_up_failed()

    def _take_up_failed(self) -> None:
        self._waiting = sorted(self._failed + self._waiting, key=lambda record: record.number)
        self._failed, self.retry_at = [], None
