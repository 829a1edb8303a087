"""For every test: hypothesis is not held to a clock, since a loaded machine is slow."""

from hypothesis import settings

settings.register_profile("fieldmouse", deadline=None)
settings.load_profile("fieldmouse")
