"""Putting the box together: boot files, the package, the drawing of the wires."""
