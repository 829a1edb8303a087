"""The guns that thin lines are drawn with, singly and in pairs, as variants."""

from appliance.drawing.colours import BLUE, CYAN, GREEN, MAGENTA, RED, YELLOW, Colour

INKS: dict[str, Colour] = {
    "red": RED,
    "green": GREEN,
    "blue": BLUE,
    "red-green": YELLOW,
    "red-blue": MAGENTA,
    "green-blue": CYAN,
}
"""Variant → the signal of the guns it names."""
