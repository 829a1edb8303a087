"""``fieldmouse soak``: what a soak will show and when, and what it asks of the tube."""

import json as jsons
import sys
from typing import Any, NamedTuple

from appliance.activities.dose import Dose
from appliance.activities.soak_plan import Phase, Soak
from appliance.commands.output import progress
from appliance.errors import Refused
from appliance.patterns.catalogue import catalogue
from appliance.patterns.zone_light import ZoneLight, zone_light
from appliance.soaks import find_soak, longest_still_bright
from appliance.video.formats import Format, find_format

FORMAT = "240p"
"""The format the plan is reckoned in.

In the others the means of the soaks that ship differ by up to half a percent of full white, the white-hours by up to a
fortieth.
"""


class Load(NamedTuple):
    """What a soak asks of the tube: means in percent of full white, seconds, white-hours of zones 1 to 9."""

    signal: float
    light: float
    longest_still_bright: int
    white_hours: tuple[float, ...]


def run(name: str, *, plan: bool, json: bool) -> int:
    """Print the plan of the soak ``name``, as a timeline or as JSON; 0.

    Raises :class:`Refused` for an unknown or wrong soak, and without ``plan``: a soak is started on the box.
    """
    if not plan:
        raise Refused(f"soak {name}: a soak is started on the box, by its keys; --plan prints what it would show")
    soak, fmt = find_soak(name), find_format(FORMAT)
    load = load_of(soak, fmt)
    text = jsons.dumps(_described(soak, fmt, load), indent=2, ensure_ascii=False) if json else _table(soak, load)
    sys.stdout.write(text + "\n")
    return 0


def load_of(soak: Soak, fmt: Format) -> Load:
    """What the phases ask of a tube in ``fmt``; the black of a rest counts as shown. Words over pictures are left out.

    A moving picture counts by the mean of its whole period.
    """
    seen = _lights(soak, fmt)
    dose, signal, light = Dose(), 0.0, 0.0
    for phase in soak.phases:
        key = (phase.pattern, phase.variant)
        dose = dose.after(seen[key].zones, phase.seconds)
        signal += seen[key].signal * phase.seconds
        light += seen[key].light * phase.seconds
    total = soak.total
    return Load(100 * signal / total, 100 * light / total, longest_still_bright(soak), dose.white_hours)


def _lights(soak: Soak, fmt: Format) -> dict[tuple[str, str], ZoneLight]:
    """The light of each picture of a soak, drawn once; a slow board takes its time over that."""
    pictures = {(phase.pattern, phase.variant): phase.moving for phase in soak.phases}
    seen: dict[tuple[str, str], ZoneLight] = {}
    for number, ((pattern, variant), moving) in enumerate(pictures.items(), 1):
        progress(f"{number} of {len(pictures)}: {pattern} {variant}")
        seen[pattern, variant] = zone_light(fmt, catalogue()[pattern].draw(fmt, variant), moving=moving)
    progress("")
    return seen


def _marks(phase: Phase) -> list[str]:
    marks = (("moving", phase.moving), ("bright", phase.bright), ("for looking", phase.look), ("rest", phase.rest))
    return [mark for mark, given in marks if given]


def _described(soak: Soak, fmt: Format, load: Load) -> dict[str, Any]:
    starts = (soak.start(n) for n in range(len(soak.phases)))
    return {
        "name": soak.name,
        "title": soak.title,
        "total_seconds": soak.total,
        "resume": soak.resume,
        "presence_minutes": soak.presence_minutes,
        "looks_minutes": list(soak.looks),
        "format": fmt.name,
        "mean_apl_percent": {"signal": round(load.signal, 3), "light": round(load.light, 3)},
        "longest_still_bright_seconds": load.longest_still_bright,
        "white_hours": {str(n): round(hours, 4) for n, hours in enumerate(load.white_hours, 1)},
        "phases": [
            {"start": start, "seconds": phase.seconds, "pattern": phase.pattern, "variant": phase.variant,
             "moving": phase.moving, "bright": phase.bright, "look": phase.look, "rest": phase.rest}
            for start, phase in zip(starts, soak.phases, strict=True)
        ],
    }  # fmt: skip


def _table(soak: Soak, load: Load) -> str:
    lines = [f"{soak.title} ({soak.name})", ""]
    for n, phase in enumerate(soak.phases):
        picture = "set off" if phase.rest else f"{phase.pattern} {phase.variant}"
        line = f"{_time(soak.start(n)):<9}{phase.seconds:>5} s  {picture:<32}{', '.join(_marks(phase))}"
        lines.append(line.rstrip())
    lines += ["", *(f"{name:<30}{figure}" for name, figure in _figures(soak, load)), "", "white-hours a zone"]
    rows = (load.white_hours[n : n + 3] for n in (0, 3, 6))
    return "\n".join(lines + ["".join(f"{hours:>8.3f}" for hours in row) for row in rows])


def _figures(soak: Soak, load: Load) -> list[tuple[str, str]]:
    presence = f"after {soak.presence_minutes} min without a key" if soak.presence_minutes else "never"
    return [
        ("total", _time(soak.total)),
        ("format of these figures", FORMAT),
        ("mean of the signal (APL)", f"{load.signal:.1f} %"),
        ("mean of the light", f"{load.light:.1f} %"),
        ("longest still bright time", f"{load.longest_still_bright} s"),
        ("looks at minutes", ", ".join(map(str, soak.looks)) or "none"),
        ("waits, dim", presence),
        ("after a power cut", "goes on by itself" if soak.resume else "waits for a held go"),
    ]


def _time(seconds: int) -> str:
    return f"{seconds // 3600}:{seconds // 60 % 60:02}:{seconds % 60:02}"
