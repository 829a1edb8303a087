"""What every page has in common: how its template is read."""

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import Template


@cache
def template(path: Path) -> "Template":
    """A page's template, with the style that all have beside it in ``page.css``.

    Every text comes from a disk or from a person, and all of them stay text.
    """
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # not before a page is asked for

    files = FileSystemLoader(path.parent)
    environment = Environment(
        loader=files, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    return environment.get_template(path.name)
