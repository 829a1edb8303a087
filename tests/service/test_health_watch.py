"""What is wrong with the board is said once, and a trouble that flickers is one trouble."""

from appliance.activities.troubles import Trouble
from appliance.hardware.health import Health
from appliance.service.backroom import Backroom
from appliance.service.health_watch import AGAIN, HealthWatch

LOW, WELL = Health(True, None), Health(False, None)


class Watched:
    """A watch, what it reads, and when it said something."""

    def __init__(self) -> None:
        self.health = WELL
        self.said: list[float] = []
        self.room = Backroom(threaded=False)
        self.watch = HealthWatch(lambda: self.health, self.room, lambda _, now: self.said.append(now), lambda _: None)

    def look(self, now: float, health: Health) -> None:
        """One look at ``now``."""
        self.health = health
        self.watch.look(now)
        self.room.news(now)


def test_a_voltage_that_flickers_is_told_once() -> None:
    """Low at every other look for hours: the lamp follows, the words come once; after ten minutes of peace, again."""
    watched = Watched()
    for n in range(200):
        watched.look(30.0 * n, LOW if n % 2 == 0 else WELL)
        assert (watched.watch.current is Trouble.HEALTH) == (n % 2 == 0)
    assert watched.said == [0.0]
    watched.look(30.0 * 198 + AGAIN, LOW)
    assert watched.said == [0.0, 30.0 * 198 + AGAIN]
