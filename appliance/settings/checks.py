"""What no single value shows: lines used twice, a system that does not go with the format, a box nobody can press."""

from collections.abc import Iterator

from appliance.errors import Refused
from appliance.settings.reader import Mistake, Place
from appliance.settings.tree import PadKeys, Settings, SingleKeys
from appliance.video.formats import check_system, find_format

MOST_CHOICES = 8
"""More could not be told from the count of a blinking lamp."""


def check(settings: Settings) -> Iterator[Mistake]:
    """Every mistake of that sort in ``settings``."""
    yield from _check_system(settings)
    yield from _check_choices(settings)
    if settings.keys.pad.use:
        yield from _check_pad(settings.keys.pad)
    yield from _check_single(settings.keys.single)
    yield from _check_pins(settings)
    yield from _check_any_key(settings)


def used_pins(settings: Settings) -> list[tuple[Place, int]]:
    """Each GPIO line in use and the place in the settings that asks for it; a line used twice comes twice."""
    pad = settings.keys.pad
    uses: list[tuple[Place, int]] = [(("lamps", name), pin) for name, pin in settings.lamps.pins.items()]
    uses += [(("keys", "single", name), pin) for name, pin in settings.keys.single.pins.items()]
    for side, pins in (("rows", pad.rows), ("columns", pad.columns)):
        uses += [(("keys", "pad", side, str(n)), pin) for n, pin in enumerate(pins, 1) if pad.use]
    return uses


def _check_system(settings: Settings) -> Iterator[Mistake]:
    fmt = find_format(settings.format)
    try:
        check_system(fmt, settings.system)
    except Refused:
        wanted = f"; one of {', '.join(fmt.systems)} is wanted"
        what = f"is {settings.system!r}, which does not go with {fmt.name}"
        other = f"is {fmt.name!r}, which does not go with the system {settings.system}"
        yield Mistake(("system",), what + wanted, Mistake(("format",), other + wanted + " beside it"))


def _check_choices(settings: Settings) -> Iterator[Mistake]:
    choices = settings.choices
    if not 1 <= len(choices) <= MOST_CHOICES:
        yield Mistake(("choices",), f"are {len(choices)}; one to {MOST_CHOICES} are wanted")
    for n, choice in enumerate(choices):
        if choice in choices[:n]:
            yield Mistake(("choices", str(n + 1)), f"{' '.join(choice)} is there twice; keep one of them")


def _check_pad(pad: PadKeys) -> Iterator[Mistake]:
    for side, pins in (("rows", pad.rows), ("columns", pad.columns)):
        if not pins:
            yield Mistake(("keys", "pad", side), "is empty; the pad's GPIO lines are wanted")
    wide = [len(row) for row in pad.layout]
    if wide != [len(pad.columns)] * len(pad.rows):
        what = f"{len(wide)} rows of {', '.join(map(str, wide)) or 'no'} keys"
        wanted = f"{len(pad.rows)} rows of {len(pad.columns)} are wanted, as the pad's lines are"
        yield Mistake(("keys", "pad", "layout"), f"has {what}; {wanted}")
    named = [key for row in pad.layout for key in row if key is not None]
    for key in sorted({key for key in named if named.count(key) > 1}):
        yield Mistake(("keys", "pad", "layout"), f"{key} is there twice; keep one of them")


def _check_single(single: SingleKeys) -> Iterator[Mistake]:
    """The resistor must pull a line away from the level that means pressed, or every key is down at rest."""
    rest, other = ("high", "down") if single.pull == "up" else ("low", "up")
    if single.pins and single.pull != "none" and single.active == rest:
        place, both = ("keys", "single"), f"with pull: {single.pull} and active: {rest} every key is pressed at rest"
        wanted = {"pull": f"{other} or none", "active": "low" if rest == "high" else "high"}
        pull, active = (Mistake((*place, name), f"{both}; {wanted[name]} is wanted") for name in wanted)
        yield Mistake(*pull[:2], active)


def _check_pins(settings: Settings) -> Iterator[Mistake]:
    first: dict[int, Place] = {}
    for place, pin in used_pins(settings):
        other = first.setdefault(pin, place)
        if other != place:
            yield _taken(pin, place, other, _taken(pin, other, place))


def _taken(pin: int, place: Place, other: Place, instead: Mistake | None = None) -> Mistake:
    return Mistake(place, f"GPIO {pin} is also {'.'.join(other)}; a line of its own is wanted, 0 to 27", instead)


def _check_any_key(settings: Settings) -> Iterator[Mistake]:
    keys = settings.keys
    if not (keys.single.pins or keys.pad.use or (keys.devices.use and keys.devices.keys)):
        yield Mistake(("keys",), "leave nothing to press; give single keys their lines, or use the pad or devices")
