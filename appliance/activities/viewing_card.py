"""The part of a viewing that opens it: the card on which it is said how the signal comes, and how warm the set is."""

from appliance.activities.viewing_ending import Ending
from appliance.activities.viewing_plan import NOT_SAID, PATHS, WARMTHS


class Opening(Ending):
    """What is said on the card is kept once the first step begins."""

    def next_path(self, now: float) -> None:
        """Another way for the signal."""
        self._choose_path(1, now)

    def path_before(self, now: float) -> None:
        """The way before."""
        self._choose_path(-1, now)

    def change_warmth(self, now: float) -> None:
        """Cold, warm, not said."""
        self.warmth = _after((NOT_SAID, *WARMTHS), self.warmth, 1)
        self._show_page(0, now)

    def _choose_path(self, by: int, now: float) -> None:
        self.path = _after(tuple(PATHS), self.path, by)
        self._show_page(0, now)


def _after(words: tuple[str, ...], word: str, by: int) -> str:
    """The word so many places after ``word``, round and round."""
    return words[(words.index(word) + by) % len(words)]
