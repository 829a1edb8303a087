"""``fieldmouse flash``: what everything the box shows asks of eyes, counted from what is really shown."""

import json as jsons
import sys
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import Any, NamedTuple

from appliance.commands.hammering import Hammering, frames
from appliance.commands.output import progress
from appliance.patterns.catalogue import Pattern, catalogue
from appliance.patterns.eyes import FAILS, Strain, strain
from appliance.service.painter import Painter
from appliance.video.flash import count_flashes
from appliance.video.formats import FORMATS, Format, find_format

HAMMERED = 2.2
"""Seconds that keys are looked at: half a second of quiet, then more than the second that is judged."""


class Case(NamedTuple):
    """One thing that can be shown in a format, and how it is judged."""

    what: str
    format: Format
    judge: Callable[[], Strain]


class Hammer(NamedTuple):
    """Keys pressed in turn from a picture on; ``patient`` as in :class:`Hammering`."""

    what: str
    at: str
    keys: tuple[str, ...]
    patient: bool = True
    seconds: float = HAMMERED


def run(json: bool, format: str | None = None) -> int:  # noqa: A002 - the command line's word
    """Print a table, or a JSON list, of every case in every format or in one; 0 when nothing fails, else 1.

    Raises :class:`Refused` for an unknown format.
    """
    formats = [find_format(format)] if format else list(FORMATS.values())
    return report([case for fmt in formats for case in cases_of(fmt)], json)


def report(cases: Sequence[Case], json: bool) -> int:
    """Print what these cases come to; 0 when none fails, else 1."""
    rows = []
    for number, case in enumerate(cases, 1):
        progress(f"{number} of {len(cases)}: {case.format.name} {case.what}")
        rows.append(_row(case, case.judge()))
    progress("")
    sys.stdout.write((jsons.dumps(rows, indent=2) if json else table(rows)) + "\n")
    return int(any(row["verdict"] == FAILS for row in rows))


def cases_of(fmt: Format) -> Iterator[Case]:
    """Every picture in every variant, then the white stress with a panic, then keys at their fastest."""
    for key, entry in catalogue().items():
        for variant in entry.variants:
            yield Case(f"{key}:{variant}", fmt, partial(_pictured, fmt, entry, variant))
    painter = Painter(4)
    for hammer in hammers():
        yield Case(hammer.what, fmt, partial(hammered, fmt, hammer, painter))


def _pictured(fmt: Format, entry: Pattern, variant: str) -> Strain:
    return strain(fmt, entry.draw(fmt, variant))


def hammers() -> Iterator[Hammer]:
    """Every way that keys lead from picture to picture, or bring and take words, as fast as the box lets them."""
    yield Hammer("white stress, black by a key, on and on", "white:100", ("go",))
    yield Hammer("forward through everything", "white:100", ("forward",), seconds=0.2 * len(catalogue()) + 1)
    yield Hammer("families by vary held", "white:100", ("vary held",))
    for key in catalogue():
        yield Hammer(f"forward and back at {key}", key, ("forward", "back"))
    for key, entry in catalogue().items():
        if len(entry.variants) > 1:
            yield Hammer(f"vary at {key}", key, ("vary",))
        if entry.moving or entry.timed:
            yield Hammer(f"go hammered at {key}", key, ("go",), patient=False)
    for name in ("white:100", "white:50", "black"):
        yield Hammer(f"note hammered at {name}", name, ("note",), patient=False)


def hammered(fmt: Format, hammer: Hammer, painter: Painter) -> Strain:
    """The flashes of what goes up; stripes are those of the pictures, judged by themselves."""
    steps = Hammering(fmt.name, hammer.at, hammer.keys, patient=hammer.patient).views(hammer.seconds)
    return Strain(count_flashes(fmt, frames(fmt, steps, painter)), 0.0, moving=False)


def _row(case: Case, found: Strain) -> dict[str, Any]:
    """As JSON has it: flashes in the worst second over the screen, over a part of it, and of these saturated red."""
    count = found.flashes
    return {
        "what": case.what,
        "format": case.format.name,
        "flashes": count.screen / 2,
        "flashes_in_part": count.part / 2,
        "red_flashes": count.red / 2,
        "area_flashing_by_itself": round(count.places, 3),
        "seconds_flashing": round(float(count.prolonged), 2),
        "stripes": round(found.stripes, 3),
        "verdict": found.verdict,
    }


_HEADINGS = ("format", "what", "screen", "part", "red", "area", "stripes", "verdict")
_COLUMNS = "{:<7} {:<42} {:>6} {:>5} {:>5} {:>5} {:>7}  {}"
_LEGEND = (
    "screen, part, red: flashes in the worst second over more than a quarter of the screen, or of a part a third as "
    "wide and high,\nand those of saturated red; three at most (ITU-R BT.1702-3, WCAG 2.2). area: share of the screen "
    "whose places each flash by\nthemselves. stripes: share under more than five even pairs, 40 % at most standing, "
    "25 % moving (ITU-R BT.1702-3)."
)


def table(rows: list[dict[str, Any]]) -> str:
    """The rows for reading, what they mean, and how many there are of each verdict."""
    lines = [_COLUMNS.format(*_HEADINGS)]
    for row in rows:
        numbers = (row["flashes"], row["flashes_in_part"], row["red_flashes"])
        shares = (f"{row['area_flashing_by_itself']:.0%}", f"{row['stripes']:.0%}")
        lines.append(_COLUMNS.format(row["format"], row["what"], *(f"{n:g}" for n in numbers), *shares, row["verdict"]))
    verdicts = [row["verdict"] for row in rows]
    tally = ", ".join(f"{verdicts.count(verdict)} {verdict}" for verdict in dict.fromkeys(verdicts))
    return "\n".join([*lines, "", _LEGEND, "", tally])
