"""A rehearsal: the whole service on mock pins and a memory screen, played by a script in simulated time.

Its power can be cut and come back: then it is another service in another boot, while the script's time goes on.
"""

from collections.abc import Callable, Iterable
from typing import Any

from appliance.hardware.screens.base import Flip
from appliance.service.script import Event
from appliance.service.service import Lit
from appliance.service.views import View
from appliance.settings.tree import Choice
from appliance.video.formats import find_format

Hear = Callable[[dict[str, Any]], None]


class Player:
    """The outside world of a script: drives pins, and has the rest done by ``act``, when their time has come.

    Times count from the first picture: nothing is due before :meth:`begin`. ``off``: the power is cut.
    """

    def __init__(
        self, events: Iterable[Event], drive: Callable[[str, bool], None], act: Callable[[Event, float], None]
    ) -> None:
        self.off = False
        self._events, self._drive, self._act = list(events), drive, act
        self._origin: float | None = None

    def begin(self, now: float) -> None:
        """The first picture is up."""
        self._origin = now

    def power(self) -> float | None:
        """When the power comes back; what the script has before it happens to a dead box. None: at no time."""
        while self._events:
            due, event = self.due(), self._events.pop(0)
            if event.what in ("down", "up"):
                self._drive(event.target, event.what == "down")
            elif event.what == "power":
                self.off = False
                return due
            elif event.what == "end":
                break
        return None

    def prelude(self) -> None:
        """Put down the keys that a script has down at 0: they are held at power-up, before the first picture."""
        for event in [event for event in self._events if event.at == 0 and event.what == "down"]:
            self._events.remove(event)
            self._drive(event.target, True)

    def due(self) -> float | None:
        """When the next event is."""
        return self._events[0].at + self._origin if self._events and self._origin is not None else None

    def happen(self, now: float) -> bool:
        """Play every event whose time has come; False at the script's end."""
        while (due := self.due()) is not None and due <= now:
            event = self._events.pop(0)
            if event.what == "end":
                return False
            if event.what in ("down", "up"):
                self._drive(event.target, event.what == "down")
            elif event.what == "cut":
                self.off = True
                self._act(event, now)
                return False
            elif event.what != "power":  # it is there
                self._act(event, now)
        return True


class Recorder:
    """Tells each change of picture, words or lamps as a dictionary; a moving picture is told once.

    ``t`` is in seconds and ``field`` in fields since the first picture, through every change of format.
    """

    def __init__(self, hear: Hear, activity: Callable[[], str], begin: Callable[[float], None]) -> None:
        self._hear, self._activity, self._begin = hear, activity, begin
        self._view: View | None = None
        self._format = ""
        self._lit: Lit = (False, False, False)
        self._origin: float | None = None
        self._clock = (0.0, 0)

    def picture(self, view: View, flip: Flip) -> None:
        """As the service's watcher. A picture that steps aside for the tube's sake is no other one."""
        view = view._replace(shift=(0, 0))
        if view == self._view:
            return
        if self._origin is None:
            self._origin = flip.stamp
            self._clock = (flip.stamp, 0)
            self._begin(flip.stamp)
        elif view.choice.format != self._format:
            self._clock = (flip.stamp, self._field(flip.stamp))
        self._view, self._format = view, view.choice.format
        self._tell(flip.stamp)

    def off(self, now: float) -> None:
        """The power is gone: no picture, no lamp."""
        dark = View(Choice(self._format, ""), "", "")
        self._view, self._lit = dark, (False, False, False)
        self._tell(now, "power cut")
        self._view = None

    def lamps(self, lit: Lit, now: float) -> None:
        """As the service's watcher."""
        self._lit = lit
        if self._view is not None:
            self._tell(now)

    def _field(self, now: float) -> int:
        since, before = self._clock
        # A lamp may change in the middle of a field; a hair is added for stamps that fall just short of one's start.
        return before + int(float((now - since) * find_format(self._format).field_rate) + 1e-3)

    def _tell(self, now: float, activity: str = "") -> None:
        view, (ready, running, attention) = self._view, self._lit
        assert view is not None
        assert self._origin is not None
        self._hear({
            "t": round(now - self._origin, 6),
            "field": self._field(now),
            "pattern": view.pattern,
            "variant": view.variant,
            "format": view.choice.format,
            "system": view.choice.system,
            "caption": view.words,
            "large": view.large,
            "code": view.code.text if view.code else "",
            "lamps": {"ready": ready, "running": running, "attention": attention},
            "activity": activity or self._activity(),
            "moving": view.moving,
        })  # fmt: skip
