"""One machine for the session; without what it takes, each test is skipped with the reasons by name."""

import os
from collections.abc import Iterator

import pytest

from tests.machine.image import Built, build
from tests.machine.machine import Machine
from tests.machine.steps import NotHere, say


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
    """The session's machine, booted to the end; booted again on the same disk when a test left it off."""
    if not _machine.running:
        _machine.boot()
        # To the very end of start-up, so that no test competes with it.
        _machine.run("systemctl is-system-running --wait; udevadm settle", timeout=300)
    return _machine


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
