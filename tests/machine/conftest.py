"""One machine for the session; without what it takes, each test is skipped with the reasons by name.

Two sessions at once, each with a machine of its own, take turns with the two processors of a small host: most of the
time a guest waits. `FIELDMOUSE_MACHINE_GUESTS=2 pytest -m machine -n 2 --dist loadgroup` is that.
"""

import os
from collections.abc import Iterator

import pytest

from tests.machine.image import Built, build
from tests.machine.machine import Machine
from tests.machine.steps import MachineTrouble, NotHere, say

LONGEST = (
    "test_soak.py::test_power_cuts", "test_soak.py::test_minutes", "test_viewing.py::test_power_cuts",
    "test_viewing.py::test_a_whole", "test_stress.py", "test_troubles.py::test_frozen", "test_moving.py",
    "test_formats.py::test_every",
)  # fmt: skip
"""What takes longest: begun first, so that two guests come to their ends at about the same time."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The longest first, everything else as it stands."""
    items.sort(key=lambda item: next((n for n, name in enumerate(LONGEST) if name in item.nodeid), len(LONGEST)))


@pytest.fixture(scope="session")
def built() -> Built:
    """The built disk; what is wrong with our own sources is a failure, what the host lacks a reason to skip.

    ``FIELDMOUSE_MACHINE=require`` makes that a failure too.
    """
    try:
        return build()
    except NotHere as trouble:
        say(f"THE MACHINE TESTS WERE NOT RUN: {trouble}")
        if os.environ.get("FIELDMOUSE_MACHINE") == "require":
            raise
        pytest.skip(f"THE MACHINE TESTS WERE NOT RUN: {trouble}")


@pytest.fixture(scope="session")
def _machine(built: Built) -> Iterator[Machine]:
    with Machine(built) as it:
        yield it


@pytest.fixture
def machine(_machine: Machine) -> Machine:
    """The session's machine, booted to the end; booted again on the same disk when it was left off, or is stuck."""
    if _machine.running and not _answers(_machine):
        _machine.cut_power()
    if not _machine.running:
        _machine.boot()
        # To the very end of start-up, so that no test competes with it.
        _machine.run("systemctl is-system-running --wait; udevadm settle", timeout=300)
    return _machine


def _answers(machine: Machine) -> bool:
    """Whether its helper does: a guest that stands still would cost every further test all of its patience."""
    try:
        machine.ask("now")
    except MachineTrouble as trouble:
        say(f"the guest is stuck, and is switched on anew: {str(trouble).splitlines()[0]}")
        return False
    return True


@pytest.fixture
def bare(machine: Machine) -> Iterator[Machine]:
    """The machine without the product running: card, keys and lamps are free."""
    was = machine.ask("unit", unit="fieldmouse.service", names=["ActiveState"])["ActiveState"]
    machine.run("systemctl stop fieldmouse.service")
    there = "udevadm settle; ls /dev/dri/card* /dev/gpiochip*"  # with another number, perhaps, if it was pulled out
    machine.wait_for("card and lines", lambda: machine.run(there).code == 0, 120)
    yield machine
    if machine.running:
        machine.ask("let_go")
        if was == "active":
            machine.run("systemctl start fieldmouse.service")
