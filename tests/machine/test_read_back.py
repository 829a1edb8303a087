"""Every pattern, in every format, as the kernel scans it out: see :mod:`tests.machine.read_back`."""

import json
import os
from pathlib import Path

import pytest

from tests.machine.machine import Machine
from tests.machine.read_back import titles

pytestmark = pytest.mark.machine

CHECKOUT = Path(__file__).parents[2]
SENT = (
    "tests/__init__.py",
    "tests/golden/__init__.py",
    "tests/golden/frames.txt",
    "tests/machine/__init__.py",
    "tests/machine/read_back.py",
)
EVERY = os.environ.get("FIELDMOUSE_MACHINE_PICTURES") == "all"
"""Whether every variant is looked at and not each pattern's first alone."""


def test_every_pattern_is_scanned_out_as_it_was_accepted(bare: Machine) -> None:
    """By the machine's own Python and numpy, other versions than the host's, and through the card's own memory."""
    for name in SENT:
        bare.write(f"/root/pictures/{name}", (CHECKOUT / name).read_bytes())
    words = " all" if EVERY else ""
    ran = bare.run(f"cd /root/pictures && python3 -m tests.machine.read_back{words}", timeout=1800)
    assert ran.code == 0, ran.err
    told = [json.loads(line) for line in ran.out.splitlines()]
    assert [name for name, _, _ in told] == [
        f"{key}:{variant} {fmt.name} 0" for fmt, key, variant in titles(every=EVERY)
    ]
    assert not [name for name, _, same in told if not same]
    assert not [(name, became) for name, became, _ in told if became not in ("", "rounding")]
    rounded = sum(became == "rounding" for _, became, _ in told)
    print(f"{len(told)} pictures read back as drawn; {rounded} of them rounded otherwise than here")
