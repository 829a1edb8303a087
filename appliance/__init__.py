"""Fieldmouse: exact composite test pictures on one lead, for viewing, setting up and soaking CRT television sets."""

__version__ = "0.1.0"
