"""Formats, levels, positions and the arithmetic of fields: pure, exact, each number with its source."""
