"""A soak as the box hosts it: what is kept of it, and what it makes of the box's own troubles."""

from collections.abc import Sequence

from appliance.activities.hosted import Activity, Hosted, Unconcerned
from appliance.activities.kept import Kept, SoakBegun, SoakEnded
from appliance.activities.showing import Showing
from appliance.activities.soak_event import SoakEvent
from appliance.activities.soak_plan import Soak
from appliance.activities.soak_text import write_soak
from appliance.activities.soak_words import Cause
from appliance.activities.soaking import Soaking, State
from appliance.patterns.registry import CAPTION_WIDTH
from appliance.presses.press import Press
from appliance.video.formats import Format

_SPEAKING = frozenset({State.WARMING, State.RUNNING, State.PAUSED, State.ABSENT, State.CUT, State.WAITING})
"""Where the box may lay its own words over the picture: not over a question, a caution or a black that is meant."""


class HostedSoak(Unconcerned):
    """Hosts ``soaking``."""

    name, holds_format, any_format = "soak", True, False

    def __init__(self, soaking: Soaking) -> None:
        self.soaking, self._ended = soaking, False

    @property
    def urgent(self) -> bool:
        """True when black is wanted at once."""
        return self.soaking.urgent

    @property
    def loaded(self) -> bool:
        """True while a phase runs."""
        return self.soaking.state is State.RUNNING

    @property
    def over(self) -> bool:
        """True when there is nothing more to do here."""
        return self.soaking.over

    @property
    def speaks(self) -> bool:
        """True while the box may lay words of its own over the picture."""
        return self.soaking.state in _SPEAKING

    def press(self, press: Press) -> bool:
        """Take a press; False when it means nothing here."""
        return self.soaking.press(press)

    def tick(self, now: float) -> None:
        """Time has come to ``now``."""
        self.soaking.tick(now)

    def due(self) -> float | None:
        """When :meth:`tick` is next wanted."""
        return self.soaking.due()

    def showing(self) -> Showing:
        """Picture, words and lamps now."""
        return self.soaking.showing()

    def shown(self, pattern: str, stamp: float) -> None:
        """A picture of ``pattern`` went up at ``stamp``."""
        self.soaking.shown(pattern, stamp)

    def screen_lost(self, now: float) -> None:
        """It waits."""
        self.soaking.screen_lost(now)

    def too_hot(self, now: float) -> None:
        """It waits, dim; while it already does, nothing more happens."""
        self.soaking.cue("too hot", now)

    def warn(self, words: str, now: float) -> None:
        """Into the log of the soak."""
        self.soaking.note("warned", words, now)

    def abandon(self, why: str, now: float) -> None:
        """It is over."""
        self.soaking.note("ended", why, now)

    def suspend(self, now: float) -> None:
        """It stays unfinished, and is offered at the next start."""
        self.soaking.note("paused", Cause.STOPPED, now)

    def drain(self) -> list[Kept]:
        """The events, with the soak's beginning before them and its end behind; what comes after that is not kept."""
        kept: list[Kept] = []
        for event in self.soaking.drain():
            kept += [] if self._ended else self._with_frame(event)
        return kept

    def _with_frame(self, event: SoakEvent) -> list[Kept]:
        soak = self.soaking.soak
        if event.kind == "started":
            return [SoakBegun(soak.name, soak.title, write_soak(soak), event.at), event]
        self._ended = event.kind == "ended"
        return [event, SoakEnded(event.at, event.words)] if self._ended else [event]


def soak_activities(soaks: Sequence[Soak], words_time: float) -> list[Activity]:
    """An entry of the list for each soak; a script calls it by the soak's name."""
    return [_entry(soak, words_time) for soak in soaks]


def begun(soak: Soak, words_time: float) -> Activity:
    """A soak as a script begins it: the cautions taken for read, and ``go`` for held."""

    def begin(fmt: Format, now: float) -> Hosted:
        soaking = Soaking(soak, fmt.field_rate, now, words_time=words_time)
        soaking.cue("go held", now)
        return HostedSoak(soaking)

    return Activity(_title(soak), begin, key=soak.name)


def resumed(soak: Soak, elapsed: float, cause: Cause, left_out: int, words_time: float) -> Activity:
    """A soak that ``cause`` cut at ``elapsed`` of its seconds, ``left_out`` of them skipped, taken up again."""

    def begin(fmt: Format, now: float) -> Hosted:
        soaking = Soaking.resumed(
            soak, elapsed, fmt.field_rate, now, words_time=words_time, cause=cause, left_out=left_out
        )
        return HostedSoak(soaking)

    return Activity(_title(soak), begin, key=soak.name)


def _entry(soak: Soak, words_time: float) -> Activity:
    def begin(fmt: Format, now: float) -> Hosted:
        return HostedSoak(Soaking(soak, fmt.field_rate, now, words_time=words_time))

    return Activity(_title(soak), begin, key=soak.name)


def _title(soak: Soak) -> str:
    whole = f"Soak: {soak.title}"
    return whole if len(whole) <= CAPTION_WIDTH else soak.title
