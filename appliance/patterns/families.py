"""The families in the order of stepping; importing this registers every pattern."""

# isort: off
from appliance.patterns import fields, geometry, roundness, margins, convergence  # noqa: F401 - importing registers
from appliance.patterns import levels, colour, detail, motion, supply, scanning, arrival, combination, tone  # noqa: F401 - as above
