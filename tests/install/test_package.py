"""The source tree that the Debian package is built from."""

import shutil
import subprocess
from pathlib import Path

import pytest

from appliance import __version__
from appliance.errors import Refused
from appliance.install.package import SOURCES, changelog, main, stage
from appliance.shipped import shipped

DEBIAN = Path(__file__).parents[2] / "appliance/install/debian"


def test_stage(tmp_path: Path) -> None:
    """Everything named is laid out, debian/ at the top, nothing compiled with it."""
    checkout = tmp_path / "checkout"
    for name in SOURCES:
        (checkout / name).parent.mkdir(parents=True, exist_ok=True)
        if "." in name:
            (checkout / name).touch()
        else:
            (checkout / name).mkdir()
    (checkout / "appliance/__pycache__").mkdir()
    shutil.copytree(DEBIAN, checkout / "appliance/install/debian")
    stage(tmp_path / "tree", 0.0, checkout)
    laid = {path.name for path in (tmp_path / "tree").iterdir()}
    assert laid == {*SOURCES, "debian"}
    assert (tmp_path / "tree/debian/rules").stat().st_mode & 0o111
    assert not list((tmp_path / "tree").rglob("__pycache__"))


def test_half_a_checkout(tmp_path: Path) -> None:
    """A checkout that lacks what the package is made of is refused, naming it, and nothing is laid out."""
    with pytest.raises(Refused, match="has no appliance, config, systemd"):
        stage(tmp_path / "tree", 0.0, tmp_path)
    assert not (tmp_path / "tree").exists()


def test_an_out_folder_that_cannot_be(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A place that cannot be written ends with one line and code 2."""
    (tmp_path / "file").touch()
    assert main(["-o", str(tmp_path / "file" / "out")]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1


def test_changelog(tmp_path: Path) -> None:
    """dpkg reads version and date out of the changelog."""
    if not shutil.which("dpkg-parsechangelog"):
        pytest.skip("dpkg-parsechangelog is not here: install the Debian package dpkg-dev")
    (tmp_path / "changelog").write_text(changelog(86400.0))
    fields = subprocess.run(
        ["dpkg-parsechangelog", "-l", tmp_path / "changelog"], capture_output=True, text=True, check=True
    )
    assert f"Version: {__version__}\n" in fields.stdout
    assert "Timestamp: 86400\n" in fields.stdout
    assert fields.stderr == ""


def test_every_system_file_is_packed() -> None:
    """No file under systemd/ is forgotten by the package."""
    packed = [line.split()[0] for line in (DEBIAN / "fieldmouse.install").read_text().splitlines()]
    for file in (path for path in shipped("systemd").rglob("*") if path.is_file()):
        name = f"systemd/{file.relative_to(shipped('systemd'))}"
        assert any(name.startswith(f"{folder}/") for folder in packed), name


def test_what_is_too_old_is_refused_by_apt() -> None:
    """The bindings of GPIO must be of the kind our pin factory speaks to (2.x); apt says so where they are older."""
    control = (DEBIAN / "control").read_text()
    assert "python3-libgpiod (>= 2)," in control
    assert "python3-gpiozero (>= 1.6.2)," in control
