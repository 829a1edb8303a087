"""A soak as the text kept with its records, and back: what was begun is resumed, whatever the files say by then."""

import json
from typing import Any

from appliance.activities.soak_plan import Phase, Soak

_PHASE = {"pattern": str, "variant": str, "seconds": int, "moving": bool, "look": bool, "rest": bool, "words": str,
          "bright": bool}  # fmt: skip


def write_soak(soak: Soak) -> str:
    """All of it, as JSON."""
    return json.dumps(
        {
            "name": soak.name,
            "title": soak.title,
            "total_seconds": soak.total,
            "resume": soak.resume,
            "presence_minutes": soak.presence_minutes,
            "looks_minutes": list(soak.looks),
            "cautions": [list(page) for page in soak.cautions],
            "phases": [{name: getattr(phase, name) for name in _PHASE} for phase in soak.phases],
        },
        ensure_ascii=False,
    )


def read_soak(text: str) -> Soak:
    """The soak in such a text; raises ``ValueError`` for any other text."""
    try:
        found = json.loads(text)
        phases = tuple(_phase(phase) for phase in found["phases"])
        looks = tuple(_a(int, look) for look in found["looks_minutes"])
        cautions = tuple((_a(str, first), _a(str, second)) for first, second in found["cautions"])
        words = _a(str, found["name"]), _a(str, found["title"])
        resume, presence = _a(bool, found["resume"]), _a(int, found["presence_minutes"])
    except (KeyError, TypeError, RecursionError) as error:
        raise ValueError(f"this is no soak: {error}") from error
    if not phases or any(phase.seconds <= 0 for phase in phases) or presence < 0:
        raise ValueError("this is no soak: it has no time")
    return Soak(*words, phases, resume, presence, looks, cautions)


def _phase(found: Any) -> Phase:
    return Phase(**{name: _a(kind, found[name]) for name, kind in _PHASE.items()})


def _a(kind: type, value: Any) -> Any:
    if type(value) is not kind:  # a bool is an int, too
        raise ValueError(f"this is no soak: {value!r} is no {kind.__name__}")
    return value
