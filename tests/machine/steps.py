"""Says on standard error what is being done and how long it took."""

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager


class MachineTrouble(Exception):
    """The machine cannot be built or does not answer; the message says what is missing or what was seen last."""


class NotHere(MachineTrouble):
    """This host cannot have a machine: not root, a tool missing, or Debian's archive out of reach."""


def say(text: str) -> None:
    """One line on standard error, at once."""
    sys.stderr.write(f"machine: {text}\n")
    sys.stderr.flush()


@contextmanager
def step(what: str) -> Iterator[None]:
    """Say ``what`` begins, and with its end how many seconds it took or that it failed."""
    say(f"{what} …")
    begun = time.monotonic()
    outcome = "failed after"
    try:
        yield
        outcome = "took"
    finally:
        say(f"{what} {outcome} {time.monotonic() - begun:.1f} s")
