"""The clauses of the protocol Screen, on every screen that can be had without a device."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.hardware.screens.contract import CLAUSES, Rig
from tests.hardware.screens.rigs import KmsRig, MemoryRig, WindowRig

RIGS: dict[str, Callable[[], Rig]] = {
    "memory": MemoryRig,
    "window": WindowRig,
    "kms": KmsRig,
    "kms without atomic commits": lambda: KmsRig(atomic=False),
}


@pytest.mark.parametrize("clause", CLAUSES, ids=lambda clause: clause.__name__)
@pytest.mark.parametrize("rig", RIGS.values(), ids=RIGS)
def test_clause(rig: Callable[[], Rig], clause: Callable[[Rig], None], desktop: None) -> None:
    """The screen keeps the clause."""
    made = rig()
    try:
        clause(made)
    finally:
        made.screen.close()
