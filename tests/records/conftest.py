"""A folder in memory, where a flush costs nothing: for tests of what is written, not of how long it takes."""

import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

SHARED_MEMORY = Path("/dev/shm")  # noqa: S108 # Linux keeps it in memory (shm_overview(7)); a private folder is made in it


@pytest.fixture
def memory(tmp_path: Path) -> Iterator[Path]:
    """An empty folder in memory where the machine has one, else a common temporary one."""
    if not os.access(SHARED_MEMORY, os.W_OK):
        yield tmp_path
        return
    with tempfile.TemporaryDirectory(dir=SHARED_MEMORY, prefix="records-") as folder:
        yield Path(folder)
