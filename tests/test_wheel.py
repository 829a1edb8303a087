"""The installed wheel: the commands work from another folder, and find the files that ship inside it."""

import importlib.util
import json
import os
import subprocess
import sys
import sysconfig
import venv
from pathlib import Path
from zipfile import ZipFile

import pytest

ROOT = Path(__file__).parent.parent
pytestmark = pytest.mark.skipif(importlib.util.find_spec("pip") is None, reason="pip is not installed here")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel of this checkout, built by hatchling as installed, or else as pip fetches it."""
    folder = tmp_path_factory.mktemp("wheel")
    local = importlib.util.find_spec("hatchling") is not None
    words = ["wheel", str(ROOT), "--no-deps", "--quiet", "-w", str(folder)]
    words += ["--no-build-isolation", "--no-index"] if local else ["--retries", "1", "--timeout", "10"]
    done = subprocess.run(
        [sys.executable, "-m", "pip", *words], capture_output=True, text=True, timeout=120, check=False
    )
    if not local and done.returncode:
        pytest.skip(f"hatchling is not installed, and could not be fetched: {done.stderr.splitlines()[-1]}")
    assert done.returncode == 0, done.stderr
    (made,) = folder.glob("fieldmouse-*-py3-none-any.whl")
    return made


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The command of a fresh environment with the wheel in it, and beside it the libraries of this one."""
    home = tmp_path_factory.mktemp("installed")
    venv.create(home, with_pip=False, symlinks=True)
    target = sysconfig.get_path("purelib", vars={"base": str(home), "platbase": str(home)})
    words = ["--python", str(home / "bin/python"), "install", "--no-deps", "--no-index", "--quiet", str(wheel)]
    subprocess.run([sys.executable, "-m", "pip", *words], check=True, timeout=120)
    # A plain path, read as no site folder: the editable install of this checkout there stays out of the way.
    Path(target, "libraries.pth").write_text(sysconfig.get_path("purelib") + "\n")
    return home / "bin" / "fieldmouse"


def run(command: Path, folder: Path, *words: str) -> str:
    """What the command prints when started in ``folder``, with nothing of the checkout on its way."""
    environ = {name: text for name, text in os.environ.items() if not name.startswith("PYTHON")}
    done = subprocess.run(
        [str(command), *words], cwd=folder, env=environ, capture_output=True, text=True, timeout=60, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def test_what_ships_is_in_the_wheel(wheel: Path) -> None:
    """Settings, rehearsal, soaks, units, letters, the page of a soak; no tests, and nothing that was compiled."""
    names = ZipFile(wheel).namelist()
    for wanted in (
        "_shipped/config/fieldmouse.yaml",
        "_shipped/config/rehearsal.txt",
        "_shipped/config/soaks/soak.yaml",
        "lettering/atlas.npz",
        "records/page.css",
        "records/report.html",
        "records/sheet.html",
        "settings/kernel_keys.txt",
    ):
        assert f"appliance/{wanted}" in names
    assert "appliance/_shipped/systemd/system/fieldmouse.service" in names
    assert not [name for name in names if name.startswith("tests") or name.endswith(".pyc")]


def test_the_package_is_the_wheel_s(installed: Path, tmp_path: Path) -> None:
    """Not the checkout's, which would make every other test here prove nothing."""
    code = "import appliance; print(appliance.__file__)"
    assert str(installed.parent.parent) in run(installed.with_name("python"), tmp_path, "-c", code)


def test_the_catalogue(installed: Path, tmp_path: Path) -> None:
    """As the checkout prints it."""
    ours = run(Path(sys.executable), ROOT, "-m", "appliance", "patterns", "--json")
    assert json.loads(run(installed, tmp_path, "patterns", "--json")) == json.loads(ours)


def test_a_rehearsal(installed: Path, tmp_path: Path) -> None:
    """Settings, letters and mock pins from the wheel: a press leads on."""
    (tmp_path / "script.txt").write_text("0 show red\n1 press forward\n3 end\n")
    lines = run(installed, tmp_path, "rehearse", "--json", "--script", "script.txt").splitlines()
    told = [json.loads(line) for line in lines]
    assert told[-1]["pattern"] == "green"
    assert told[-1]["caption"]


def test_the_shipped_script_is_found(installed: Path, tmp_path: Path) -> None:
    """Without a script of one's own."""
    lines = run(installed, tmp_path, "rehearse", "--json").splitlines()
    assert len(lines) > 50
    assert {"white stress", "format offered"} <= {json.loads(line)["activity"] for line in lines}
