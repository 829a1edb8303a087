"""The plan of a soak as it was kept at its start: JSON that an older or a newer version may have written."""

import json
from dataclasses import dataclass
from typing import Any

LONGEST = 10**6
"""Seconds and minutes beyond which a number is none of a plan's."""


@dataclass(frozen=True)
class Planned:
    """A phase as planned: ``words`` name its picture."""

    words: str
    seconds: int
    bright: bool
    rest: bool


@dataclass(frozen=True)
class Plan:
    """Phases in order and the minutes of the looks; both empty where nothing could be read."""

    phases: tuple[Planned, ...] = ()
    looks: tuple[int, ...] = ()

    @property
    def total(self) -> int:
        """Seconds of the whole."""
        return sum(phase.seconds for phase in self.phases)

    def phase(self, number: int) -> Planned | None:
        """Phase ``number`` from 0, where there is one."""
        return self.phases[number] if 0 <= number < len(self.phases) else None


def read_plan(text: str) -> Plan:
    """What of the text is a plan; never raises. A phase that says no time is left out."""
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        return Plan()
    if not isinstance(found, dict):
        return Plan()
    phases = tuple(_phase(phase) for phase in _items(found, "phases") if _is_phase(phase))
    looks = _items(found, "looks") or _items(found, "looks_minutes")
    return Plan(phases, tuple(look for look in looks if _is_number(look)))


def _items(found: dict[str, Any], name: str) -> list[Any]:
    items = found.get(name)
    return items if isinstance(items, list) else []


def _is_phase(phase: object) -> bool:
    return isinstance(phase, dict) and _is_number(phase.get("seconds"))


def _is_number(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 0 < value <= LONGEST


def _phase(phase: dict[str, Any]) -> Planned:
    named = [part for part in (phase.get("pattern"), phase.get("variant")) if isinstance(part, str)]
    words = phase.get("words")
    return Planned(
        words if isinstance(words, str) and words else " ".join(named),
        phase["seconds"],
        bright=phase.get("bright") is True,
        rest=phase.get("rest") is True,
    )
