"""The notebook of a viewing: which note is the last, whatever order the store hands them out in."""

from appliance.activities.viewing_notebook import Notebook
from appliance.activities.viewing_record import Noted, TakenBack
from tests.activities.viewed import GUIDE


def noted(number: int, step: str, kind: str = "tilt") -> Noted:
    """A note of that number."""
    return Noted(number, float(number), step, kind, 2, None, "Picture turned")


def test_the_last_note_is_the_one_of_the_highest_number() -> None:
    """A note that reached the store only when it was tried again is not the one that is taken back."""
    key = GUIDE.route.steps[0].key
    book = Notebook(GUIDE, [noted(4, key), noted(3, key)], {1: "looked"}, 4)
    taken = book.take_back(9.0)
    assert taken == noted(4, key)
    assert [record.note for record in book.ledger.drain() if isinstance(record, TakenBack)] == [4]
    assert list(book.notes) == [3]
