"""What the box asks of an activity that has the keys and the screen to itself, and how one stands in its list.

Another activity is one entry in the list handed to the box: a title, and how it begins.
"""

from collections.abc import Callable
from typing import NamedTuple, Protocol

from appliance.activities.kept import Kept, Record
from appliance.activities.showing import Showing
from appliance.presses.press import Press
from appliance.video.formats import Format


class Left(NamedTuple):
    """How stepping goes on: at ``place``, where it stood when there is none; an empty variant is the dimmed one.

    ``caption``: with its title. ``passes``: the key that ended the activity has its usual meaning, too.
    """

    place: tuple[str, str] | None = None
    caption: bool = True
    passes: bool = False


class Hosted(Protocol):
    """An activity with a beginning and an end. It is pure: time is handed in."""

    @property
    def name(self) -> str:
        """What is being done, in a word or two."""

    @property
    def urgent(self) -> bool:
        """True when black is wanted at once."""

    @property
    def loaded(self) -> bool:
        """True while nothing slow may be done beside it."""

    @property
    def over(self) -> bool:
        """True when there is nothing more to do here."""

    @property
    def speaks(self) -> bool:
        """True while the box may lay words of its own over the picture."""

    @property
    def holds_format(self) -> bool:
        """True when keys change no format under it now."""

    @property
    def any_format(self) -> bool:
        """True when it goes on in another format; else changing it ends the activity."""

    def press(self, press: Press) -> bool:
        """Take a press; False when it means nothing here."""

    def tick(self, now: float) -> None:
        """Time has come to ``now``."""

    def due(self) -> float | None:
        """When :meth:`tick` is next wanted."""

    def showing(self) -> Showing:
        """Picture, words and lamps now."""

    def shown(self, pattern: str, stamp: float) -> None:
        """A picture of ``pattern`` went up at ``stamp``."""

    def screen_lost(self, now: float) -> None:
        """No picture is up any more."""

    def change_format(self, fmt: Format, now: float) -> None:
        """Another format is on the lead."""

    def too_hot(self, now: float) -> None:
        """The board is too hot. Told again while it lasts."""

    def warn(self, words: str, now: float) -> None:
        """Something about the box that belongs into the activity's own log."""

    def abandon(self, why: str, now: float) -> None:
        """It is left from outside, for good."""

    def suspend(self, now: float) -> None:
        """The program ends while it runs; it may be taken up again."""

    def drain(self) -> list[Kept]:
        """What is to be kept since the last time."""

    def answer(self, record: Record, answer: object, now: float) -> bool:
        """What became of a record that was handed out, if that is to be answered; False when nobody waits for it."""

    def left(self) -> Left:
        """How stepping goes on behind it."""


class Unconcerned:
    """What most activities make of what a :class:`Hosted` is told: nothing. One that cares says so itself."""

    def change_format(self, fmt: Format, now: float) -> None:
        """It ends then, or nothing of it goes by the format."""

    def too_hot(self, now: float) -> None:
        """The box tells it."""

    def warn(self, words: str, now: float) -> None:
        """It keeps no log."""

    def abandon(self, why: str, now: float) -> None:
        """Nothing is kept of it."""

    def suspend(self, now: float) -> None:
        """Nothing is kept of it."""

    def answer(self, record: Record, answer: object, now: float) -> bool:  # noqa: ARG002 - as hosted
        """It waits for none."""
        return False

    def left(self) -> Left:
        """Stepping goes on where it was."""
        return Left()


Begin = Callable[[Format, float], Hosted]
"""Makes the activity, in a format and at a time."""


class Activity(NamedTuple):
    """An entry of the list that a held ``go`` shows. ``begin`` None: stepping.

    ``pattern``: the timed picture whose ``go`` begins it, too. ``key``: what a script calls it.
    """

    title: str
    begin: Begin | None = None
    pattern: str = ""
    key: str = ""


STEPPING = Activity("Stepping")
