"""Tests of keys: GPIO, pads, input devices, doubles."""
