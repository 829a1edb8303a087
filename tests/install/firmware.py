"""config.txt as the firmware reads it, written a second time from its documentation and on its own, to check by.

Raspberry Pi documentation, config.txt, "Conditional filters": settings under a filter that does not hold are passed
over; ``[all]`` drops every filter; a filter of a model takes the place of the last. "Device trees, overlays and
parameters": ``dtoverlay=name,parameter``; an empty one closes the overlay before it.
"""

from dataclasses import dataclass, field


@dataclass
class Reading:
    """What a board makes of a config.txt: overlays with their parameters, in order, and the last value of each key."""

    overlays: list[tuple[str, tuple[str, ...]]] = field(default_factory=list)
    values: dict[str, str] = field(default_factory=dict)


def read_config(text: str, filters: set[str]) -> Reading:
    """What the firmware of a board on which these model filters hold would do."""
    reading, holds = Reading(), True
    for raw in text.splitlines():
        line = raw.strip()
        if line.startswith("[") and line.endswith("]"):
            name = line[1:-1].strip()
            holds = name == "all" or name in filters
        elif holds and line and not line.startswith("#"):
            key, _, value = (part.strip() for part in line.partition("="))
            if key == "dtoverlay":
                name, *parameters = value.split(",")
                reading.overlays += [(name, tuple(parameters))] if name else []
            else:
                reading.values[key] = value
    return reading
