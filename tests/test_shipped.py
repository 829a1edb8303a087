"""The files that ship are found from a checkout and from an installed package."""

import subprocess
import sys
from pathlib import Path

import pytest

from appliance.shipped import shipped, shipped_name


def test_checkout() -> None:
    """In a checkout the files at the top are the ones."""
    assert shipped("config/fieldmouse.yaml") == Path(__file__).parents[1] / "config" / "fieldmouse.yaml"


def test_installed(tmp_path: Path) -> None:
    """In an installed package what lies under _shipped wins over a folder that happens to stand beside it."""
    package = tmp_path / "site-packages" / "appliance"
    for place in (package / "_shipped" / "config", tmp_path / "site-packages" / "config"):
        place.mkdir(parents=True)
        (place / "a.yaml").touch()
    assert shipped_name("config/a.yaml", str(package)) == str(package / "_shipped" / "config" / "a.yaml")


def test_missing() -> None:
    """A file that does not ship is named, with the places looked in."""
    with pytest.raises(FileNotFoundError, match=r"config/none\.yaml: ships with Fieldmouse, but is neither .*_shipped"):
        shipped("config/none.yaml")


def test_light() -> None:
    """Finding a name imports nothing that a bare interpreter has not: it is on the way to the first picture."""
    program = (
        "import sys; before = set(sys.modules); from appliance.shipped import shipped_name;"
        "shipped_name('config'); print(*sorted(set(sys.modules) - before))"
    )
    found = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True, cwd=".")
    assert found.stdout.split() == ["appliance", "appliance.shipped"]
