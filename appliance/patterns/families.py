"""The families in the order of stepping; importing this registers every pattern."""

from appliance.patterns import (
    arrival,
    colour,
    combination,
    convergence,
    detail,
    fields,
    geometry,
    levels,
    margins,
    motion,
    roundness,
    scanning,
    supply,
    tone,
)

_MODULES = (
    fields, geometry, roundness, margins, convergence,
    levels, colour, detail, motion, supply, scanning, arrival, combination, tone,
)  # fmt: skip
ORDER = {module.__name__: number for number, module in enumerate(_MODULES)}
"""Place of each module in the order of stepping, whichever was imported first."""
