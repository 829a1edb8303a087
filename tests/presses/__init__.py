"""Tests of presses: debouncing, grammar, pads."""
