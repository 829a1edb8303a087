"""The composite screen on this kernel: see :mod:`tests.hardware.screens.on_kernel`."""

import json
from pathlib import Path

import pytest

from tests.machine.machine import Machine

pytestmark = pytest.mark.machine

CHECKOUT = Path(__file__).parents[2]
SENT = (
    "tests/__init__.py",
    "tests/hardware/__init__.py",
    *(f"tests/hardware/screens/{name}.py" for name in ("__init__", "contract", "on_kernel")),
)


def test_every_clause_of_the_screen(bare: Machine) -> None:
    """The clauses of every screen and those only a kernel can show hold, with atomic commits and without."""
    for name in SENT:
        bare.write(f"/root/screens/{name}", (CHECKOUT / name).read_bytes())
    ran = bare.run("cd /root/screens && python3 -m tests.hardware.screens.on_kernel", timeout=300)
    said = [json.loads(line) for line in ran.out.splitlines()]
    for one in said:
        if one.get("figures"):
            print(one["check"], one["figures"])
    assert ran.code == 0, ran.err
    assert len(said) > 30
    assert not [f"{one['check']}: {one['wrong']}" for one in said if one["wrong"]]
