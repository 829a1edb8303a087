"""A desktop in memory for the window's tests."""

import pytest


@pytest.fixture
def desktop(monkeypatch: pytest.MonkeyPatch) -> None:
    """SDL's driver without a display; the environment is the only place where it is chosen."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
