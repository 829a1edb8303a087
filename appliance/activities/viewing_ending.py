"""The part of a viewing that ends it: the summary, what it means on request, and the codes to photograph."""

from appliance.activities.showing import Code
from appliance.activities.viewing_noting import TURN_TIME, Careful, Noting
from appliance.activities.viewing_plan import Guide, Page
from appliance.activities.viewing_table import State
from appliance.activities.viewing_words import LAST_PAGE_JUDGED, NO_CODE, Judge, Tally, end_pages
from appliance.patterns.registry import STANDS

SWAP_TIME = 60
"""Seconds that words stand in one place."""


class Ending(Noting):
    """``judge`` says what was found means, ``tally`` gives the texts of the codes."""

    def __init__(
        self, guide: Guide, number: int, first: State, notebook: Careful, now: float, *, judge: Judge, tally: Tally
    ) -> None:
        super().__init__(guide, number, first, notebook, now)
        self._judge, self._tally = judge, tally
        self._codes: tuple[str, ...] = ()
        self._judged = self._high = False

    # Moves: the summary

    def next_page(self, now: float) -> None:
        """The next page of the summary; stays at the last."""
        self._show_page(min(self._end_page + 1, len(self._end_pages()) - 1), now)

    def last_page(self, now: float) -> None:
        """The last page, from where ``go`` leaves: one press too many at the last step ends nothing."""
        self._show_page(len(self._end_pages()) - 1, now)

    def page_before(self, now: float) -> None:
        """The page before."""
        self._show_page(max(self._end_page - 1, 0), now)

    def judge(self, now: float) -> None:
        """What it means, or the notes again."""
        self._judged = not self._judged
        self._show_page(0, now)

    # Moves: the codes

    def tell_no_code(self, now: float) -> None:
        """Why there is none."""
        self._tell(NO_CODE, now)

    def begin_code(self, now: float) -> None:
        """The first page of the tally as a code."""
        self._land(now)
        self._codes = self._tally(self.outcome)
        self.show_code(now)

    def next_code(self, now: float) -> None:
        """The next page of the tally."""
        self._show_code((self._page + 1) % len(self._codes or " "), now)

    def code_before(self, now: float) -> None:
        """The page before."""
        self._show_code((self._page - 1) % len(self._codes or " "), now)

    def spare_code(self, now: float) -> None:
        """The tube is spared: a dim grey, as every still picture gives way that stood for so long; the page waits."""
        self.swap_place(now)

    def show_code(self, now: float) -> None:
        """The page that was up, again or at last, for as long as a still picture may stand."""
        self._show_code(self._page, now)

    def swap_place(self, now: float) -> None:
        """Words do not stand in one place for long."""
        self._high = not self._high
        self.timers["swap"] = now + SWAP_TIME

    # What they have in common

    def _show_page(self, page: int, now: float) -> None:
        self._page, self._message = page, ()
        if "turn" in self.timers:
            self.timers["turn"] = now + 2 * TURN_TIME

    def _show_code(self, page: int, now: float) -> None:
        self._show_page(page, now)
        self.timers["rest over"] = now + STANDS

    def _code(self) -> Code | None:
        if self.state is not State.CODE or not self._codes:
            return None
        return Code(self._codes[self._page], self.number, self._page + 1, len(self._codes))

    @property
    def _end_page(self) -> int:
        """The page of the summary that is shown: a note taken back may have taken the last one away."""
        return min(self._page, len(self._end_pages()) - 1)

    def _end_pages(self) -> tuple[Page, ...]:
        if self._judged and (judged := self._judge(self.outcome)):
            return (*judged, LAST_PAGE_JUDGED)
        return end_pages(self.outcome, danger=bool(self._notebook.dangers), open_records=self._notebook.ledger.late)
