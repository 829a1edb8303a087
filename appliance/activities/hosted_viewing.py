"""A viewing as the box hosts it: its number asked for, what it hands out to be kept, and the answers to that.

A visit gets its number from the store. Until it has one nothing of it can be kept: its news wait, or are told as not
kept when the number was refused; the number is asked for again. When the visit is over, all that is not kept is handed
out once more, for the store to try as long as the box is on.
"""

from appliance.activities.hosted import Unconcerned
from appliance.activities.kept import Kept, Record, VisitBegun, VisitEntry
from appliance.activities.showing import Showing
from appliance.activities.viewing import State, Viewing
from appliance.activities.viewing_ledger import RETRY_TIME
from appliance.activities.viewing_record import Record as News
from appliance.activities.viewing_showing import DARK_STATES
from appliance.presses.press import Press
from appliance.video.formats import Format

_SPEAKING = frozenset({State.CARD, State.CUT, State.STEP, State.END})
"""Where the box may lay its own words over the picture: not over a question, a caution or a black that is meant."""


class HostedViewing(Unconcerned):
    """Hosts ``viewing``, which began at ``now``; its number is 0 when the store is still to give it one."""

    name, any_format = "viewing", True

    def __init__(self, viewing: Viewing, now: float) -> None:
        self.viewing = viewing
        self._begun = VisitBegun(viewing.guide.route, now)
        self._ask, self._refused, self._closing = not viewing.number, False, False
        self._ask_again: float | None = None
        self._now = now

    @property
    def urgent(self) -> bool:
        """True when black is wanted at once."""
        return self.viewing.urgent

    @property
    def loaded(self) -> bool:
        """True while fields are counted."""
        return self.viewing.loaded

    @property
    def over(self) -> bool:
        """True when there is nothing more to do here."""
        return self.viewing.over

    @property
    def speaks(self) -> bool:
        """True while the box may lay words of its own over the picture."""
        return self.viewing.state in _SPEAKING

    @property
    def holds_format(self) -> bool:
        """True while it is black or bright."""
        return self.viewing.state in DARK_STATES or self.viewing.loaded

    def press(self, press: Press) -> bool:
        """Take a press; True when the keys now down must have no further meaning."""
        self._now = press.at
        return self.viewing.press(press)

    def tick(self, now: float) -> None:
        """Time has come to ``now``."""
        self._now = now
        if self._ask_again is not None and now >= self._ask_again:
            self._ask, self._ask_again = True, None
        self.viewing.tick(now)

    def due(self) -> float | None:
        """When :meth:`tick` is next wanted."""
        return min((due for due in (self.viewing.due(), self._ask_again) if due is not None), default=None)

    def showing(self) -> Showing:
        """Picture, words and lamps now."""
        return self.viewing.showing()

    def shown(self, pattern: str, stamp: float) -> None:
        """A picture of ``pattern`` went up at ``stamp``."""
        self.viewing.shown(pattern, stamp)

    def screen_lost(self, now: float) -> None:
        """Nothing goes on by itself."""
        self.viewing.screen_lost(now)

    def change_format(self, fmt: Format, now: float) -> None:
        """What is counted goes by the new one."""
        self.viewing.change_format(fmt, now)

    def abandon(self, why: str, now: float) -> None:  # noqa: ARG002 - as hosted
        """It stays unfinished, and is offered at the next start."""
        self._closing = True

    def suspend(self, now: float) -> None:  # noqa: ARG002 - as hosted
        """As when the power is cut."""
        self._closing = True

    def drain(self) -> list[Kept]:
        """The wish for a number, and the news of the visit."""
        kept: list[Kept] = []
        closing = self._closing or self.over
        news = self.viewing.rest() if closing else self._news()
        if self._ask or (closing and news and self._refused):
            self._ask, self._ask_again = False, None
            kept.append(self._begun)
        return kept + [VisitEntry(self._begun.at, self.viewing.number or None, record) for record in news]

    def answer(self, record: Record, answer: object, now: float) -> bool:
        """The number, or whether news are kept; False for a record of another visit, or when it is over."""
        self._now = now
        if self._closing or self.over:
            return False
        if record is self._begun:
            self._take_number(answer, now)
            return True
        if not isinstance(record, VisitEntry) or record.begun != self._begun.at:
            return False
        (self.viewing.kept if answer else self.viewing.not_kept)(record.news.number, now)
        return True

    def _news(self) -> list[News]:
        """What can be kept now; without a number, because that was refused, none can."""
        if not self.viewing.number and not self._refused:
            return []
        news = self.viewing.drain()
        if self.viewing.number:
            return news
        for record in news:
            self.viewing.not_kept(record.number, self._now)
        return []

    def _take_number(self, answer: object, now: float) -> None:
        self._refused = not isinstance(answer, int)
        if isinstance(answer, int):
            self.viewing.number = answer
        else:
            self._ask_again = now + RETRY_TIME
