"""Tests of lamps."""
