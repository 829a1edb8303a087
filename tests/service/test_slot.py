"""A part that may be missing: tried again at its time, told once, never a crash."""

import logging
from collections.abc import Callable

import pytest

from appliance.activities.troubles import Trouble
from appliance.hardware.screens.base import CardBusy, NoConnector
from appliance.service.slot import RETRY, Slot


class Opener:
    """Raises what it is told to, then gives parts by number."""

    def __init__(self, *troubles: Exception) -> None:
        self.troubles, self.calls = list(troubles), 0

    def __call__(self) -> int:
        """Open."""
        self.calls += 1
        if self.troubles:
            raise self.troubles.pop(0)
        return self.calls


def let_go(_: int) -> None:
    """A part that closes well."""


def refuse(_: int) -> None:
    """A part that cannot even be closed."""
    raise OSError(5, "Input/output error")


def test_a_part_that_opens_is_kept() -> None:
    """Opened at the first asking, and once."""
    slot = Slot("screen", opener := Opener(), Trouble.CARD)
    assert [slot.ensure(now) for now in (0.0, 1.0, 9.0)] == [1, 1, 1]
    assert (opener.calls, slot.current, slot.due()) == (1, None, None)


def test_a_missing_part_is_tried_every_two_seconds(caplog: pytest.LogCaptureFixture) -> None:
    """Not more often however often it is asked for; one log line for the trouble, one for its end."""
    slot = Slot("screen", opener := Opener(*(CardBusy("held") for _ in range(5))), Trouble.CARD)
    with caplog.at_level(logging.INFO):
        for tenth in range(120):
            slot.ensure(tenth / 10)
            assert (slot.part is None) == (slot.due() is not None) == (slot.current is Trouble.CARD)
    assert opener.calls == 6
    assert slot.part == 6
    assert [record.levelname for record in caplog.records] == ["ERROR", "INFO"]
    assert f"lamp code {Trouble.CARD.value}" in caplog.records[0].message


def test_another_trouble_is_told_anew(caplog: pytest.LogCaptureFixture) -> None:
    """A missing connector has a code of its own."""
    slot = Slot("screen", Opener(CardBusy("held"), NoConnector("none"), CardBusy("held")), Trouble.CARD)
    codes = []
    for now in range(3):
        slot.ensure(now * RETRY)
        codes.append(slot.current)
    assert codes == [Trouble.CARD, Trouble.NO_CONNECTOR, Trouble.CARD]
    assert len(caplog.records) == 3


@pytest.mark.parametrize("close", [let_go, refuse])
def test_a_lost_part_comes_back(close: Callable[[int], None], caplog: pytest.LogCaptureFixture) -> None:
    """Also one that could not be closed; the lost one is never given out again."""
    slot = Slot("keys", Opener(), Trouble.KEYS)
    slot.ensure(0.0)
    slot.lose(OSError(19, "No such device"), 10.0, close)
    assert (slot.ensure(10.0), slot.current, slot.due()) == (None, Trouble.KEYS, 10.0 + RETRY)
    assert slot.ensure(10.0 + RETRY) == 2
    assert slot.current is None


@pytest.mark.parametrize("error", [ImportError("no gpiod"), ValueError("?"), KeyError("x"), OSError(13, "denied")])
def test_any_error_of_an_opener_is_a_missing_part(error: Exception, caplog: pytest.LogCaptureFixture) -> None:
    """A library that is missing or breaks does not take the box down."""
    slot = Slot("lamps", Opener(error), None)
    assert slot.ensure(0.0) is None
    assert (slot.current, slot.due()) == (None, RETRY)
    assert "lamps" in caplog.text


def test_losing_what_is_not_there_puts_off_the_next_try() -> None:
    """As keys and lamps do, which sit on one chip."""
    slot = Slot("lamps", opener := Opener(OSError(2, "gone")), None)
    slot.ensure(0.0)
    slot.lose(OSError(2, "gone"), 1.0, refuse)
    assert slot.ensure(RETRY) is None
    assert slot.ensure(1.0 + RETRY) == 2
    assert opener.calls == 2
