"""The composite screen on a real kernel with a composite connector: see :mod:`tests.hardware.screens.on_kernel`."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.machine.image import build
from tests.machine.machine import Machine

CHECKOUT = Path(__file__).parents[3]
SENT = (
    "tests/__init__.py",
    "tests/hardware/__init__.py",
    *(f"tests/hardware/screens/{n}.py" for n in ("__init__", "contract", "on_kernel")),
)

pytestmark = pytest.mark.machine


@pytest.fixture(scope="module")
def machine() -> Iterator[Machine]:
    """A machine with the product installed, its service kept off the screen."""
    with Machine(build(), "systemd.mask=fieldmouse.service") as booted:
        booted.boot()
        for name in SENT:
            booted.write(f"/root/screens/{name}", (CHECKOUT / name).read_bytes())
        booted.wait_for("the card", lambda: booted.run("ls /dev/dri/card0").code == 0)
        yield booted


def test_every_clause_on_the_kernel(machine: Machine, record_property: Any) -> None:
    """The clauses of every screen and those only a kernel can show hold, with atomic commits and without."""
    ran = machine.run("cd /root/screens && python3 -m tests.hardware.screens.on_kernel", timeout=300)
    said = [json.loads(line) for line in ran.out.splitlines()]
    for one in said:
        record_property(one["check"], one.get("figures"))
    assert ran.code == 0, ran.err
    assert len(said) > 30
    assert not [f"{one['check']}: {one['wrong']}" for one in said if one["wrong"]]
