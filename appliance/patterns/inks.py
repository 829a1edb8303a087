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

LINES_BLUR = dict.fromkeys(INKS, "Judge by the horizontals")
"""What to look for on thin lines of these: along the line composite colour is too slow to be sharp."""
DOTS_BLUR = dict.fromkeys(INKS, "Sideways: judge by white")
"""The same of dots, which are sharp in height alone."""
