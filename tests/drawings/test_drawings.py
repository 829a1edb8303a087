"""The drawings are those of today's code."""

import pytest

from tests.drawings import DRAWINGS, HERE


@pytest.mark.parametrize("name", DRAWINGS)
def test_the_drawing_is_not_stale(name: str) -> None:
    """What stands in the file is what the code draws; ``python -m tests.drawings`` mends it."""
    assert (HERE / name).read_text(encoding="utf-8") == DRAWINGS[name]()
