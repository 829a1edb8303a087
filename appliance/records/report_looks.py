"""The looks of a soak, read back from its log: what was seen, what differed, what nobody looked at."""

import re
from dataclasses import dataclass
from itertools import groupby

from appliance.records.entries import EventRecord, SoakRecord

_WORDS = re.compile(r"([\d, ]{1,60}) min: (.*)", re.DOTALL)
_COUNT = re.compile(r"(\d{1,4}) of (\d{1,4}) looked at, \d{1,4} different(?:; not seen: (.*))?", re.DOTALL)
_FIRST = re.compile(r"([a-z]{1,9} margin) (\d{1,3}) %, first reading")
_CHANGE = re.compile(r"([a-z]{1,9} margin) (\d{1,3}) → (\d{1,3}) %")
_BY_PEOPLE = frozenset({"started", "resumed", "back", "skipped", "observation"})
_BY_KEYS = frozenset({"by a key", "black by a key"})


@dataclass(frozen=True)
class Look:
    """One look, or one that was offered in vain; ``minute`` in words, as the log has it.

    ``seen`` of ``items`` things were looked at, None where the log does not say; then ``words`` are what it says, else
    the differences.
    """

    minute: str
    event: EventRecord
    seen: int | None
    items: int | None
    words: tuple[str, ...]
    not_seen: str

    @property
    def taken(self) -> bool:
        """Whether anything was looked at."""
        return bool(self.seen)

    @property
    def firsts(self) -> tuple[str, ...]:
        """Margins read for the first time."""
        read = (_FIRST.fullmatch(words) for words in self.words)
        return tuple(f"{found[1]} {found[2]} %" for found in read if found)

    @property
    def changes(self) -> tuple[str, ...]:
        """What was not as before."""
        return () if self.seen is None else tuple(words for words in self.words if not _FIRST.fullmatch(words))


@dataclass(frozen=True)
class Margin:
    """A margin read off the scales, in percent, at the first look and as last known."""

    name: str
    first: int
    last: int


def looks(record: SoakRecord) -> tuple[Look, ...]:
    """The looks in order. Words of one look were kept one after the other, at one time."""
    groups = groupby(record.looks, lambda event: (_minute(event), event.moment.boot, event.moment.at))
    return tuple(_look(minute, list(events)) for (minute, _, _), events in groups)


def margins(found: tuple[Look, ...]) -> tuple[Margin, ...]:
    """Each margin that was read, first and last."""
    first, last = dict[str, int](), dict[str, int]()
    for words in (words for look in found for words in look.words):
        if read := _FIRST.fullmatch(words):
            first.setdefault(read[1], int(read[2]))
            last[read[1]] = int(read[2])
        elif changed := _CHANGE.fullmatch(words):
            first.setdefault(changed[1], int(changed[2]))
            last[changed[1]] = int(changed[3])
    return tuple(Margin(name, first[name], last[name]) for name in first)


def last_looked(record: SoakRecord, found: tuple[Look, ...]) -> EventRecord | None:
    """The last event that tells of somebody looking at the set; None where none does."""
    events = [look.event for look in found if look.taken]
    events += [event for event in record.events if event.kind == "observation"]
    return max(events, key=lambda event: event.number, default=None)


def last_at_keys(record: SoakRecord) -> EventRecord | None:
    """The last event that a person's key brought about; None where none did. Most keys leave no trace in a log."""
    events = (event for event in record.events if event.kind in _BY_PEOPLE or event.words in _BY_KEYS)
    return max((event for event in events if event.words != "by itself"), key=lambda event: event.number, default=None)


def _minute(event: EventRecord) -> str:
    said = _WORDS.fullmatch(event.words)
    return said[1] if said else ""


def _look(minute: str, events: list[EventRecord]) -> Look:
    words = [event.words.partition(" min: ")[2] if minute else event.words for event in events]
    counted = _COUNT.fullmatch(words[-1])
    if counted is None:
        return Look(minute, events[-1], None, None, tuple(words), "")
    seen, items = int(counted[1]), int(counted[2])
    return Look(minute, events[-1], seen, items, tuple(words[:-1]), counted[3] or "")
