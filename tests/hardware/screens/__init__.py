"""Tests of the screens."""
