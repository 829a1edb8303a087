"""``python -m tests.machine``: build the machine, boot it, run a command in it."""

import argparse
import sys

from tests.machine import tools
from tests.machine.image import build
from tests.machine.machine import Machine
from tests.machine.steps import MachineTrouble, say


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tests.machine", description=__doc__)
    words = parser.add_subparsers(dest="word", required=True)
    words.add_parser("check", help="what the host lacks")
    words.add_parser("build", help="build the disk, or find it kept from before")
    run = words.add_parser("run", help="build, boot, say how it came up, switch off")
    shell = words.add_parser("shell-command", help="build, boot, run shell commands, switch off")
    shell.add_argument("command", nargs="+")
    for parser_ in (run, shell):
        parser_.add_argument("--kernel-line", default="", help="words to add to the kernel's command line")
    return parser


def _summary(machine: Machine) -> int:
    machine.wait_for("the end of start-up", lambda: machine.ask("boot_times", units=[])["finished"], 120)
    units = ["basic.target", "multi-user.target", "fieldmouse.service"]
    for name, seconds in machine.ask("boot_times", units=units).items():
        say(f"{name} at {seconds:.2f} s of the guest's clock")
    found = machine.scanout(pixels=False)
    say(f"scanned out: framebuffer {found.fb}, modeline {found.modeline}, TV mode {found.tv_mode}")
    return 0


def _commands(machine: Machine, commands: list[str]) -> int:
    for command in commands:
        done = machine.run(command, timeout=300)
        sys.stdout.write(done.out)
        sys.stderr.write(done.err)
        if done.code:
            return done.code
    return 0


def _check() -> int:
    reasons = tools.missing()
    for reason in reasons or ["the host has all that is wanted"]:
        say(reason)
    return 1 if reasons else 0


def _run(asked: argparse.Namespace) -> int:
    built = build()
    say(f"disk: {built.disk}")
    if asked.word == "build":
        return 0
    with Machine(built, asked.kernel_line) as machine:
        machine.boot()
        return _summary(machine) if asked.word == "run" else _commands(machine, asked.command)


def main() -> int:
    """The command line; a trouble is one message on standard error and code 1."""
    asked = _parser().parse_args()
    try:
        return _check() if asked.word == "check" else _run(asked)
    except MachineTrouble as trouble:
        say(f"stopped: {trouble}")
        return 1


if __name__ == "__main__":
    sys.exit(main())
