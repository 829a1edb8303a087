"""What every page has in common: how its template is read."""

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import Template


@cache
def template(path: Path) -> "Template":
    """A page's template: every text comes from a disk or from a person, and all of them stay text."""
    from jinja2 import Environment, StrictUndefined  # not before a page is asked for

    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    return environment.from_string(path.read_text("utf-8"))
