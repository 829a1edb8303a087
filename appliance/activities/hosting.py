"""The place for the one activity that has the box to itself; there may be none. What it hands out is collected."""

from collections.abc import Callable

from appliance.activities.hosted import Activity, Hosted, Left
from appliance.activities.kept import Kept, Record
from appliance.activities.showing import Showing
from appliance.presses.press import Press
from appliance.video.formats import Format


class Host:
    """``log`` takes lines for the log, ``records`` what is to be kept, until somebody takes them away."""

    def __init__(self) -> None:
        self.log: list[str] = []
        self.records: list[Record] = []
        self.guest: Hosted | None = None

    # What it is

    @property
    def name(self) -> str:
        """What is being done, in a word or two; empty without an activity."""
        return self.guest.name if self.guest else ""

    @property
    def urgent(self) -> bool:
        """True when black is wanted at once."""
        return self.guest is not None and self.guest.urgent

    @property
    def loaded(self) -> bool:
        """True while nothing slow may be done."""
        return self.guest is not None and self.guest.loaded

    @property
    def over(self) -> bool:
        """True when the activity has nothing more to do."""
        return self.guest is not None and self.guest.over

    @property
    def speaks(self) -> bool:
        """True while words of the box's own may stand over the activity's picture."""
        return self.guest is not None and self.guest.speaks

    @property
    def holds_format(self) -> bool:
        """True while the format may not be changed by keys."""
        return self.guest is not None and self.guest.holds_format

    @property
    def any_format(self) -> bool:
        """True while there is an activity that goes on in another format."""
        return self.guest is not None and self.guest.any_format

    def due(self) -> float | None:
        """When :meth:`tick` is next wanted."""
        return self.guest.due() if self.guest else None

    def showing(self) -> Showing | None:
        """Picture, words and lamps of the activity."""
        return self.guest.showing() if self.guest else None

    # What it is told

    def begin(self, activity: Activity, fmt: Format, now: float) -> None:
        """The activity, from its beginning on."""
        assert activity.begin is not None
        self.guest = activity.begin(fmt, now)
        self._collect()

    def press(self, press: Press) -> bool:
        """A press; False when it means nothing."""
        taken = self.guest is not None and self.guest.press(press)
        self._collect()
        return taken

    def tick(self, now: float) -> None:
        """Time has come to ``now``."""
        self._tell(lambda guest: guest.tick(now))

    def shown(self, pattern: str, stamp: float) -> None:
        """A picture of ``pattern`` went up at ``stamp``."""
        self._tell(lambda guest: guest.shown(pattern, stamp))

    def screen_lost(self, now: float) -> None:
        """No picture is up any more."""
        self._tell(lambda guest: guest.screen_lost(now))

    def change_format(self, fmt: Format, now: float) -> None:
        """Another format is on the lead."""
        self._tell(lambda guest: guest.change_format(fmt, now))

    def answer(self, record: Record, answer: object, now: float) -> bool:
        """What became of a record; False when nobody waits for that any more."""
        waited = self.guest is not None and self.guest.answer(record, answer, now)
        self._collect()
        return waited

    def too_hot(self, now: float) -> None:
        """The board is too hot."""
        self._tell(lambda guest: guest.too_hot(now))

    def warn(self, words: str, now: float) -> None:
        """Something about the box for the activity's own log."""
        self._tell(lambda guest: guest.warn(words, now))

    def suspend(self, now: float) -> None:
        """The program ends; the activity may be taken up again."""
        self._tell(lambda guest: guest.suspend(now))

    def abandon(self, why: str, now: float) -> None:
        """It is left from outside, for good."""
        self._tell(lambda guest: guest.abandon(why, now))
        self.guest = None

    def end(self) -> Left:
        """The activity is let go; how stepping goes on."""
        guest, self.guest = self.guest, None
        return guest.left() if guest else Left()

    def _tell(self, tell: Callable[[Hosted], None]) -> None:
        if self.guest is not None:
            tell(self.guest)
            self._collect()

    def _collect(self) -> None:
        for kept in self.guest.drain() if self.guest else ():
            self._take(kept)

    def _take(self, kept: Kept) -> None:
        if isinstance(kept, str):
            self.log.append(kept)
        else:
            self.records.append(kept)
