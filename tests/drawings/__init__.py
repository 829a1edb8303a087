"""Drawings made from the code: the house from its imports, each activity from its table.

``python -m tests.drawings`` writes them anew; a test fails while one is stale.
"""

from collections import defaultdict
from collections.abc import Callable
from pathlib import Path

import grimp

from appliance.activities.box import Box
from appliance.activities.past import Past
from appliance.activities.soaking import Soaking
from appliance.activities.stepping import Stepping
from appliance.activities.stress import Stress
from appliance.activities.table import Machine
from appliance.activities.viewing import Viewing

HERE = Path(__file__).parent
MACHINES: tuple[type[Machine], ...] = (Box, Stepping, Stress, Soaking, Viewing, Past)


def house() -> str:
    """Who imports whom, package by package, as a Mermaid drawing with the way in at the top."""
    graph = grimp.build_graph("appliance")
    edges = set()
    for module in graph.modules:
        for imported in graph.find_modules_directly_imported_by(module):
            pair = (_room(module), _room(imported))
            if pair[0] != pair[1] and "appliance" not in pair:
                edges.add(pair)
    lines = [f"    {here} --> {there}" for here, there in sorted(edges)]
    return _page("The house, from its imports", ["flowchart TD", *lines])


def activities() -> str:
    """Every activity's table as a Mermaid state drawing."""
    return "\n".join(_page(machine.__name__, _states(machine)) for machine in MACHINES)


def _states(machine: type[Machine]) -> list[str]:
    lines = ["stateDiagram-v2"]
    lines += [f'    state "{state}" as {_name(state)}' for state in machine.table]
    for state, cues in machine.table.items():
        arrows = defaultdict(list)
        for cue, move in cues.items():
            arrows[move.to].append(cue)
        lines += [f"    {_name(state)} --> {_name(to)} : {', '.join(names)}" for to, names in arrows.items()]
    return lines


def _room(module: str) -> str:
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else parts[0]


def _name(state: str) -> str:
    return state.replace(" ", "_")


def _page(title: str, lines: list[str]) -> str:
    return "\n".join([f"# {title}", "", "```mermaid", *lines, "```", ""])


DRAWINGS: dict[str, Callable[[], str]] = {"house.md": house, "activities.md": activities}
