"""The families in the order of stepping; importing this registers every pattern."""

from appliance.patterns import fields, geometry, convergence, colour, levels  # noqa: F401, I001 - order of stepping
