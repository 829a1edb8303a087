"""What this machine is, how it is, and whether its boot files have composite switched on."""

import os
import shlex
from collections.abc import Iterator

from appliance.errors import Refused
from appliance.hardware.health import read_health
from appliance.install.board import Board, find_board, read_model
from appliance.install.boot_files import find_folder, plan_install
from appliance.install.check.line import Line, State
from appliance.install.check.overlay_readme import read_readme
from appliance.install.check.sources import Sources


def check_machine(sources: Sources) -> Iterator[Line]:
    """Board, kernel, system; boot files; voltage and heat."""
    model = read_model(sources.root)
    yield Line("board", *_board(model))
    yield Line("kernel", State.FINE, f"{os.uname().sysname} {os.uname().release} on {os.uname().machine}")
    yield Line("system", State.FINE, _system(sources.text("etc/os-release")))
    if "Raspberry Pi" in model:
        yield _check_boot(sources)
    yield from _check_health(sources)


def _board(model: str) -> tuple[State, str, str]:
    if not model:
        return (
            State.LOOK,
            "not a board the kernel has a name for",
            "composite needs a Raspberry Pi; try `fieldmouse window`",
        )
    if "Raspberry Pi" not in model:
        return State.LOOK, model, "composite is known to work on a Raspberry Pi only"
    return State.FINE, model, ""


def _system(os_release: str) -> str:
    """``PRETTY_NAME`` of os-release(5)."""
    words = [line.partition("=")[2] for line in os_release.splitlines() if line.startswith("PRETTY_NAME=")]
    return "".join(shlex.split(words[0])) if words else "unknown"


def _check_boot(sources: Sources) -> Line:
    try:
        board = find_board("auto", sources.root)
        lacking = _lacking(sources, board)
        unknown = _unknown_parameters(sources, board.overlay, board.parameters)
    except Refused as refused:
        return Line(
            "boot files", State.LOOK, str(refused), "see hardware_notes/connectors.md for boards with composite"
        )
    if lacking:
        names = " and ".join(lacking)
        return Line(
            "boot files", State.WRONG, f"{names} without what this board needs", "sudo fieldmouse install, then restart"
        )
    if unknown:
        seen = f"this kernel's {board.overlay} does not list {', '.join(unknown)}"
        return Line("boot files", State.LOOK, seen, "if there is no picture, update the system")
    return Line("boot files", State.FINE, "composite is switched on")


def _lacking(sources: Sources, board: Board) -> list[str]:
    """Names of the boot files that installing would change; the colour system stays the one chosen."""
    plan = plan_install(sources.root, board, None)
    return [change.path.name for change in plan if change.before != change.after]


def _unknown_parameters(sources: Sources, overlay: str, parameters: tuple[str, ...]) -> list[str]:
    """Parameters that the overlays' README on the card does not have; none when there is no README."""
    folder = find_folder(sources.root).relative_to(sources.root)
    listed = read_readme(sources.text(f"{folder}/overlays/README")).get(overlay)
    return [] if listed is None else [word for word in parameters if word not in listed]


def _check_health(sources: Sources) -> Iterator[Line]:
    health = read_health(sources.root)
    if health.undervoltage is not None:
        ill = health.undervoltage
        remedy = "a stronger supply, a shorter or thicker lead" if ill else ""
        yield Line("voltage", State.WRONG if ill else State.FINE, "too low" if ill else "enough", remedy)
    if health.celsius is not None:
        hot = health.hot
        yield Line("heat", State.LOOK if hot else State.FINE, f"{health.celsius:.0f} °C", "give it air" if hot else "")
    if health.slowed:
        yield Line("speed", State.LOOK, "the board holds itself back", "a stronger supply, a shorter lead; give it air")
