"""The general colour library used as a reference, imported without its remarks about optional parts."""

import warnings
from types import ModuleType


def colour_science() -> ModuleType:
    """The module ``colour`` of colour-science."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    return colour
