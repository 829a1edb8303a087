"""What there is to choose beside stepping: the viewings, the last visits, the soaks; and what goes on from the records.

Routes, kinds of fault, rules and soaks, with all that they need, weigh as much as stepping does; so this is imported
when a person asks for the list, or when something was left open.
"""

import logging
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from appliance.activities.hosted import Activity
from appliance.activities.hosted_soak import soak_activities
from appliance.activities.past import past_visits
from appliance.activities.soak_plan import Soak
from appliance.errors import Refused
from appliance.records.entries import Moment, SoakRecord, VisitRecord
from appliance.routes import guide as find_guide
from appliance.service.resumption import resumption
from appliance.service.viewings import Known, Viewings, load_known
from appliance.soaks import find_soak, soak_names

log = logging.getLogger(__name__)

Loaded = tuple[Sequence[Soak], Sequence[Refused]]


def load_soaks() -> Loaded:
    """Every soak that can be read, and what is wrong with the others; the longest list is that of the menu."""
    soaks, mistakes = list[Soak](), list[Refused]()
    for name in soak_names():
        try:
            soaks.append(find_soak(name))
        except Refused as mistake:
            mistakes.append(mistake)
    return soaks, mistakes


@dataclass(frozen=True)
class Menu:
    """``soaks`` and what is ``wrong`` with files of soaks; ``words_time``: seconds that a soak's progress stands."""

    viewings: Viewings
    known: Known
    soaks: Sequence[Soak]
    wrong: Sequence[Refused]
    words_time: float

    def front(self) -> list[Activity]:
        """What is done at most sets."""
        every = [self.viewings.activity(guide, self.known) for guide in self.known.guides]
        return [*every, past_visits()] if every else []

    def back(self) -> list[Activity]:
        """What runs for hours."""
        return list(soak_activities(self.soaks, self.words_time))

    def mistakes(self) -> Iterator[tuple[Refused, str, str]]:
        """What is wrong with files, and words for the screen: what it is, and what happens instead."""
        for mistake in self.known.mistakes:
            yield mistake, "Wrong: ", "left out, or as it ships"
        for mistake in self.wrong:
            yield mistake, "Soak wrong: ", "left out · fieldmouse soak"

    def viewing(self, name: str) -> Activity:
        """A viewing along the route ``name``; raises :class:`Refused` for an unknown one."""
        guide = self.known.guide(name) or find_guide(name, findings=self.known.findings)
        return self.viewings.activity(guide, self.known)

    def visit(self, record: VisitRecord) -> Activity | None:
        """A visit that was left open, taken up; None when its route is another now."""
        return self.viewings.resumed(record, self.known)

    def soak(self, record: SoakRecord, boot: str) -> Activity | None:
        """A soak that was left open, taken up in the boot of that name; None when it cannot be."""
        return resumption(record, boot, self.words_time)


def read_menu(
    moment: Callable[[float], Moment],
    low: Callable[[], float],
    words_time: float,
    know: Callable[[], Known] = load_known,
    load: Callable[[], Loaded] = load_soaks,
) -> Menu:
    """Everything from its files; ``moment`` and ``low`` as of :class:`Viewings`."""
    known = know()
    soaks, wrong = load()
    return Menu(Viewings(moment, low, words_time), known, soaks, wrong, words_time)
