"""The families in the order of stepping; importing this registers every pattern."""
