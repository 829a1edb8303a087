"""While the system starts the early picture waits for the card, and at no other time."""

import pytest

from appliance.hardware.screens.base import CardBusy, CardClosed, NoConnector, ScreenTrouble
from appliance.hardware.screens.memory import MemoryScreen
from appliance.hardware.screens.protocol import Screen
from appliance.service.early import PATIENCE, STARTING, when_there


class Start:
    """A system that starts: its clock, moved by waiting alone, and what opening the card gives, one after another."""

    def __init__(self, now: float, *gives: ScreenTrouble, come: bool = True) -> None:
        self.now, self.tries = now, 0
        self._gives, self._come = gives, come

    def sleep(self, seconds: float) -> None:
        """Time passes."""
        self.now += seconds

    def open(self) -> Screen:
        """The troubles in turn, then the screen, or the last of them for ever."""
        self.tries += 1
        if self.tries > len(self._gives) and self._come:
            return MemoryScreen(lambda: self.now)
        raise self._gives[min(self.tries, len(self._gives)) - 1]

    def wait(self) -> Screen:
        """What is tested."""
        return when_there(self.open, lambda: self.now, self.sleep)


MISSING, CLOSED = NoConnector("no card yet"), CardClosed("udev has not come to it")


def test_card_that_comes_and_is_then_handed_over() -> None:
    """First it is not there, then it may not be opened, then the screen is open, a field or two later."""
    start = Start(8.0, MISSING, MISSING, CLOSED)
    assert isinstance(start.wait(), MemoryScreen)
    assert (start.tries, round(start.now - 8.0, 3)) == (4, 0.06)


@pytest.fixture(params=[MISSING, CLOSED], ids=["missing", "closed"])
def trouble(request: pytest.FixtureRequest) -> ScreenTrouble:
    """What a wait may mend."""
    which: ScreenTrouble = request.param
    return which


def test_waiting_ends(trouble: ScreenTrouble) -> None:
    """After ten seconds the service goes on without an early picture, and the lamps can say why."""
    start = Start(8.0, trouble, come=False)
    with pytest.raises(type(trouble)):
        start.wait()
    assert 8.0 + PATIENCE <= start.now < 8.0 + PATIENCE + 0.1


def test_no_waiting_once_the_system_is_up(trouble: ScreenTrouble) -> None:
    """A service started by hand, or anew, hears at once what is the matter."""
    start = Start(STARTING, trouble, come=False)
    with pytest.raises(type(trouble)):
        start.wait()
    assert (start.tries, start.now) == (1, STARTING)


def test_no_waiting_for_another_program() -> None:
    """A card that somebody else holds may stay so for ever: the service says it on the lamps, and tries again."""
    start = Start(8.0, CardBusy("held"), come=False)
    with pytest.raises(CardBusy):
        start.wait()
    assert start.tries == 1
