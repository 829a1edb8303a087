"""gpiozero's mock pins, fresh."""

from typing import Any

from gpiozero.pins.mock import MockFactory, MockPin


def mock_factory(pin_class: Any = MockPin) -> Any:
    """A mock factory with no pins yet: in gpiozero 1.6 all of them share theirs."""
    factory = MockFactory(pin_class=pin_class)
    factory.reset()
    return factory
