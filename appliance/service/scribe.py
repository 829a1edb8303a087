"""Keeps the records of what runs. The loop hands them over and goes on; they are written in the backroom.

What cannot be written waits, in order and with the time it was handed over, and is tried again with the next record
and each minute; the box says so on the screen and the lamp, and the picture goes on. What an activity waits to hear of
is answered instead, and only waits here when nobody hears the answer. The disk is first touched when there is something
to write, or when there are records in which a run may be left open; what reads and writes them is imported then.
"""

import logging
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from appliance.activities.kept import PastWanted, Record, SoakBegun, SoakEnded, VisitBegun, VisitEntry
from appliance.activities.notices import Lines
from appliance.activities.soak_event import SoakEvent
from appliance.activities.soak_plan import clock
from appliance.activities.troubles import Trouble
from appliance.hardware.health import Health
from appliance.records.entries import MOST_FINDINGS, SoakRecord, VisitRecord
from appliance.records.surroundings import FILE, boot_id, mounts, wall_clock
from appliance.records.trouble import StoreTrouble, VisitDeleted, VisitFull, Why, told
from appliance.service.backroom import Backroom, Then
from appliance.service.health_watch import low_since

if TYPE_CHECKING:
    from appliance.records.database import Connect
    from appliance.records.store import Store
    from appliance.service.visit_desk import VisitDesk

log = logging.getLogger(__name__)

MOST_WAITING = 500
"""Records that wait for a disk that takes none; beyond it the oldest are given up and counted."""

AGAIN = 60.0
"""Seconds after which what waits is tried again."""

_WORDS: dict[Why, Lines] = {
    Why.FULL: ("Disk full: nothing is kept", "make room on the card"),
    Why.READ_ONLY: ("Nothing is kept:", "the card is read-only"),
    Why.BROKEN: ("Nothing is kept:", "the records are damaged"),
    Why.BUSY: ("Nothing is kept: records", "held by another program"),
}
_OTHER: Lines = ("Nothing is kept: the disk", "fails · fieldmouse check")
FLEETING: Lines = ("Nothing will be kept:", "gone with the power")
DELETED: Lines = ("Nothing is kept:", "the visit was deleted")
VISIT_FULL: Lines = ("NOT kept: one visit holds", f"{MOST_FINDINGS} notes and no more")
PUT_ASIDE: Lines = ("Old records were damaged:", "put aside, begun afresh")


Answer = Callable[[Record, object, float], bool]
"""Tells an activity what became of a record; False when none waits for it."""
Found = Callable[[SoakRecord | VisitRecord, float], None]


@dataclass(frozen=True)
class Archive:
    """Where the records are, and who says when it is. ``fresh``: what an earlier run left open is let be.

    ``connect`` stands in for SQLite's own.
    """

    folder: Path
    boot: str
    wall: Callable[[], tuple[float, bool]] = wall_clock
    threaded: bool = True
    fresh: bool = False
    mountinfo: Callable[[], str] = mounts
    connect: "Connect | None" = None


def box_archive(folder: Path) -> Archive:
    """The archive of this machine, in this boot."""
    return Archive(folder, boot_id())


class Scribe:
    """``tell`` says two lines to whoever looks at the screen; ``archive`` None: nothing is kept, and none is said.

    ``answer`` is for records that are to be answered.
    """

    def __init__(
        self,
        archive: Archive | None,
        room: Backroom,
        tell: Callable[[Lines, float], None],
        health: Callable[[], Health],
        answer: Answer = lambda *_: False,
    ) -> None:
        self.current: Trouble | None = None
        self.archive, self._room, self._tell, self._health = archive, room, tell, health
        self._answer = answer
        self._wall = (0.0, False)
        self._waiting: deque[tuple[Record, tuple[float, bool]]] = deque()
        self._store: Store | None = None
        self._desk: VisitDesk | None = None
        self._soak: int | None = None
        self._owed: Found | None = None
        self._given_up = self._visit_failed = self._fleeting = False
        self._again = 0.0
        self._refused = ""

    # On the loop

    def look_for_unfinished(self, found: Found) -> None:
        """Have the records opened, if there are any; ``found`` hears of a soak and of a visit that was left open."""
        if self.archive is not None and not self.archive.fresh:
            self._owed = found
            self._room.do(self._unfinished)

    def keep(self, record: Record) -> None:
        """Have ``record`` written, and say it in the log unless it comes every minute."""
        if isinstance(record, SoakEvent) and record.kind != "heartbeat":
            log.info("soak at %s: %s: %s", clock(record.elapsed), record.kind, record.words)
        answered = isinstance(record, VisitBegun | VisitEntry | PastWanted)
        if isinstance(record, VisitBegun | VisitEntry):
            log.info("visit: %s", record.news if isinstance(record, VisitEntry) else record.route.name)
        if self.archive is None:
            self._room.do(lambda: lambda now: self._unkept(record, now) if answered else None)
            return
        wall = self.archive.wall()
        self._room.do(lambda: self._keep_answered(record, wall) if answered else self._keep(record, wall))

    def look(self, now: float) -> None:
        """Have what waits tried again, when its time has come."""
        if self.current is not None and now >= self._again:
            self._again = now + AGAIN
            self._room.do(self._unfinished)
            self._room.do(self._write)

    def due(self) -> float | None:
        """When :meth:`look` next does something."""
        return self._again if self.current is not None else None

    def take_up(self, soak_id: int) -> None:
        """What is kept from now on belongs to this soak."""
        self._room.do(lambda: self._set_soak(soak_id))

    def give_up(self, soak_id: int, how: str, now: float) -> None:
        """This soak is over, whichever is kept now."""
        self._room.do(lambda: self._give_up(soak_id, how, now))

    def end(self, how: str, now: float) -> None:
        """The soak that is kept is over."""
        self.keep(SoakEnded(now, how))

    def close(self) -> None:
        """Have the records closed, after all that waits."""
        self._room.do(self._close)

    def _unkept(self, record: Record, now: float) -> None:
        self._answer(record, None, now)

    def _trouble(self, trouble: StoreTrouble, now: float) -> None:
        if self.current is None:
            self._again = now + AGAIN
            self.current = Trouble.KEEPING
            log.error("%s (lamp code %d)", trouble, Trouble.KEEPING)
            self._tell(_WORDS.get(trouble.why, _OTHER), now)

    def _well(self, now: float) -> None:  # noqa: ARG002 - as every answer of the backroom
        self.current = None
        log.info("records are kept again")

    # In the backroom

    def _unfinished(self) -> Then | None:
        """Look for what was left open, unless that was done; what was begun since is not."""
        found = self._owed
        if found is None:
            return None
        try:
            if not self._there():
                self._owed = None
                return None
            store, said = self._opened()
            soak = store.unfinished() if self._soak is None else None
            visit = store.visits.unfinished() if self._visits_desk.empty else None
        except StoreTrouble as trouble:
            return self._told(trouble)
        self._owed = None

        def hand_over(now: float) -> None:
            if told := self._saying(said):
                told(now)
            for record in (soak, visit):
                if record:
                    found(record, now)

        return hand_over

    def _there(self) -> bool:
        """Whether there are records at all."""
        assert self.archive is not None
        path = self.archive.folder / FILE
        try:
            return path.exists()
        except OSError:
            with told(path):
                raise

    def _give_up(self, soak_id: int, how: str, now: float) -> Then | None:
        try:
            store, said = self._opened()
            store.end_soak(soak_id, now, how)
        except StoreTrouble as trouble:
            return self._told(trouble)
        return self._saying(said)

    def _keep_answered(self, record: Record, wall: tuple[float, bool]) -> Then:
        """Keep what is to be answered; what fails is kept waiting here only when nobody hears that it did."""
        told: Then | None = None
        answer: object = None
        try:
            if not self._given_up:
                answer, told = self._kept_answer(record, wall)
        except (VisitDeleted, VisitFull) as trouble:
            told = self._told_refused(trouble)
        except StoreTrouble as trouble:
            self._visit_failed, told = True, self._told(trouble)

        def tell(now: float) -> None:
            if told:
                told(now)
            heard = self._answer(record, answer, now)
            if answer is None and not heard and not isinstance(record, PastWanted):
                self._room.do(lambda: self._keep(record, wall))

        return tell

    def _kept_answer(self, record: Record, wall: tuple[float, bool]) -> tuple[object, Then | None]:
        assert self.archive is not None
        if isinstance(record, PastWanted):
            if not self._there():
                return (), None
            from appliance.service.visit_desk import past_visits

            store, said = self._opened()
            return past_visits(store.visits, record.most), self._saying(said)
        _, said = self._opened()
        answer = self._put(record, wall)
        self._visit_failed = False
        return answer, self._recovered(self._with_fleeting(record, said))

    def _recovered(self, said: tuple[Lines, ...]) -> Then | None:
        """Something was written: all is well again, unless more waits."""
        if self.current is None or self._waiting:
            return self._saying(said)
        return self._well

    def _keep(self, record: Record, wall: tuple[float, bool]) -> Then | None:
        if self._given_up:
            return None
        self._waiting.append((record, wall))
        while len(self._waiting) > MOST_WAITING:
            self._waiting.popleft()
        return self._write()

    def _write(self) -> Then | None:
        """Write all that waits, or as much as the disk takes."""
        if self._given_up:
            return None
        try:
            _, said = self._opened()
            while self._waiting:
                self._put_unless_refused(*self._waiting[0])
                record, _ = self._waiting.popleft()
                self._visit_failed = False
                said = self._with_fleeting(record, said)
        except StoreTrouble as trouble:
            return self._told(trouble)
        # While an activity tries what failed, only that can tell whether it works again.
        return self._saying(said) if self._visit_failed else self._recovered(said)

    def _opened(self) -> tuple["Store", tuple[Lines, ...]]:
        if self._store is not None:
            return self._store, ()
        assert self.archive is not None
        store = _store(self.archive, lambda: self._wall)
        said = store.open()
        self._store = store
        for words in said:
            log.warning("%s", words)
        lines = tuple(FLEETING if words.startswith("nothing will be kept") else PUT_ASIDE for words in said)
        self._fleeting = FLEETING in lines
        return store, lines

    @property
    def _visits_desk(self) -> "VisitDesk":
        """For visits, kept through the run: it knows the numbers they were given."""
        if self._desk is None:
            from appliance.service.visit_desk import VisitDesk

            self._desk = VisitDesk()
        return self._desk

    def _with_fleeting(self, record: Record, said: tuple[Lines, ...]) -> tuple[Lines, ...]:
        """What is said, and at the beginning of what is to be kept also that the power takes it away again."""
        if self._fleeting and isinstance(record, SoakBegun | VisitBegun) and FLEETING not in said:
            return (*said, FLEETING)
        return said

    def _put(self, record: Record, wall: tuple[float, bool]) -> object:
        """Write ``record``; for one that is to be answered, its answer."""
        store, self._wall = self._store, wall
        assert store is not None
        if isinstance(record, VisitBegun | VisitEntry):
            begun = record.at if isinstance(record, VisitBegun) else record.begun
            return self._visits_desk.put(store.visits, record, box_low=low_since(self._health(), begun))
        if isinstance(record, PastWanted):
            return None
        if isinstance(record, SoakBegun):
            self._soak = store.begin_soak(record.name, record.title, record.plan, record.at)
        elif self._soak is None:
            log.error("nothing is kept of %s: no soak is open", record)
        elif isinstance(record, SoakEnded):
            store.end_soak(self._soak, record.at, record.how)
            self._soak = None
        elif record.kind == "heartbeat":
            health = self._health()
            store.heartbeat(self._soak, record.at, record.elapsed, record.phase, health.celsius, health.undervoltage)
        else:
            store.add_event(self._soak, record)
        return None

    def _put_unless_refused(self, record: Record, wall: tuple[float, bool]) -> None:
        """Write ``record``; news of a visit that is deleted, or full, is let go: it would hold up what is behind it."""
        try:
            self._put(record, wall)
        except (VisitDeleted, VisitFull) as trouble:
            log.warning("%s", trouble)

    def _told_refused(self, trouble: VisitDeleted | VisitFull) -> Then | None:
        """Say so once for each visit, though its viewing tries again and again; nothing ails the disk."""
        if str(trouble) == self._refused:
            return None
        self._refused = str(trouble)
        log.warning("%s", trouble)
        lines = DELETED if isinstance(trouble, VisitDeleted) else VISIT_FULL
        return lambda now: self._tell(lines, now)

    def _set_soak(self, soak_id: int) -> None:
        self._soak = soak_id

    def _close(self) -> None:
        if self._store is not None:
            self._store.close()

    def _told(self, trouble: StoreTrouble) -> Then:
        if trouble.why is Why.BROKEN and self._store is not None:
            # Found damaged while it was open: the next start puts it aside, nothing more is written into it.
            self._given_up = True
            self._waiting.clear()
            self._store.close()
        return lambda now: self._trouble(trouble, now)

    def _saying(self, said: tuple[Lines, ...]) -> Then | None:
        if not said:
            return None

        def say(now: float) -> None:
            for lines in said:
                self._tell(lines, now)

        return say


def _store(archive: Archive, wall: Callable[[], tuple[float, bool]]) -> "Store":
    import sqlite3

    from appliance.records.store import Store

    connect = archive.connect or sqlite3.connect
    return Store(archive.folder, boot_id=archive.boot, wall=wall, mountinfo=archive.mountinfo, connect=connect)
