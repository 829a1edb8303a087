"""Keys and lamps tried by hand: each lamp is lit in turn, then each key that is pressed is named."""

from collections.abc import Callable, Iterator
from typing import TypeVar

from appliance.hardware.keys.protocol import Keys
from appliance.hardware.lamps.protocol import Lamps
from appliance.service.waiter import Waiter
from appliance.settings import Settings

LIT = 1.0
"""Seconds that each lamp is lit."""

PATIENCE = 20.0
"""Seconds without a press after which the trial ends."""

T = TypeVar("T")
Openers = list[tuple[str, Callable[[], Keys]]]


def try_out(
    settings: Settings, keys: Openers, lamps: Callable[[], Lamps], waiter: Waiter, say: Callable[[str], None]
) -> set[str]:
    """Light the lamps, then name each key as it goes down until all wired ones came or nobody presses any more.

    Returns the wired keys that never came. What cannot be opened is said and passed over.
    """
    _try_lamps(settings, lamps, waiter, say)
    opened = [source for name, opener in keys if (source := _open(name, opener, say)) is not None]
    try:
        return _try_keys(settings, opened, waiter, say)
    finally:
        for source in opened:
            source.close()


def _open(name: str, opener: Callable[[], T], say: Callable[[str], None]) -> T | None:
    try:
        return opener()
    except Exception as error:
        say(f"{name}: {error}")
        return None


def _try_lamps(settings: Settings, opener: Callable[[], Lamps], waiter: Waiter, say: Callable[[str], None]) -> None:
    lamps = _open("lamps", opener, say) if settings.lamps.pins else None
    if lamps is None:
        return
    for name in settings.lamps.pins:
        say(f"lamp {name} (GPIO {settings.lamps.pins[name]}) is lit now")
        lamps.set(name == "ready", name == "running", name == "attention")
        until = waiter.clock() + LIT
        while waiter.clock() < until and waiter.wait([], until):
            pass
    lamps.close()


def _try_keys(settings: Settings, sources: list[Keys], waiter: Waiter, say: Callable[[str], None]) -> set[str]:
    missing = set(settings.keys.single.pins)
    if not sources:
        return missing
    say(f"press each key: {', '.join(sorted(missing)) or 'whichever you like'} (ends {PATIENCE:.0f} s after the last)")
    end, last = waiter.clock() + PATIENCE, dict[str, float]()
    while waiter.clock() < end and (missing or not settings.keys.single.pins):
        files = [file for source in sources if (file := source.fileno()) is not None]
        dues = [due for source in sources if (due := source.due()) is not None]
        if not waiter.wait(files, min([end, *dues])):
            break
        for name in _pressed(sources, waiter.clock(), last, settings.keys.debounce_ms / 1000):
            say(f"key {name}")
            missing.discard(name)
            end = waiter.clock() + PATIENCE
    say(f"never came: {', '.join(sorted(missing))}" if missing else "every key came")
    return missing


def _pressed(sources: list[Keys], now: float, last: dict[str, float], quiet: float) -> Iterator[str]:
    """The keys that went down, each bounce of a contact passed over; ``last`` holds each key's last edge."""
    for edge in (edge for source in sources for edge in source.read(now)):
        if edge.down and edge.at - last.get(edge.key, -quiet) >= quiet:
            yield edge.key
        last[edge.key] = edge.at
