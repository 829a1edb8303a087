"""The kernel's list of overlays, ``overlays/README`` on the boot partition: names and their parameters."""

import re

_NAME = re.compile(r"Name:\s+(\S+)\s*")
_PARAMETER = re.compile(r"(?:Params:)?\s+([\w-]+)(?:\s{2,}.*)?\s*")
_COLUMN = 8
"""Parameters begin at the ninth column; what explains them stands further right."""


def read_readme(text: str) -> dict[str, tuple[str, ...]]:
    """Overlay → parameters. Anything that does not look like the list gives nothing."""
    found: dict[str, tuple[str, ...]] = {}
    name, within = "", False
    for line in text.splitlines():
        named = _NAME.fullmatch(line)
        if named:
            name, within = named[1], False
            found[name] = ()
        elif re.match(r"[A-Z][a-z]+:", line):
            within = line.startswith("Params:")
        parameter = _PARAMETER.fullmatch(line) if within else None
        if name and parameter and line[_COLUMN : _COLUMN + 1].strip() and parameter[1] != "<None>":
            found[name] += (parameter[1],)
    return found
