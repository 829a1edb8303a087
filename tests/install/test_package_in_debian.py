"""The Debian package, installed by apt into a clean Debian 13 root. Marked ``machine``: it needs such a root."""

import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from appliance.install.package import build
from tests.machine import tools
from tests.machine.roots import roots

pytestmark = [pytest.mark.machine, pytest.mark.xdist_group("package")]

OWN = ("usr/bin/", "usr/lib/python3/dist-packages/", "usr/lib/systemd/system/", "usr/lib/systemd/system.conf.d/",
       "usr/lib/sysusers.d/", "usr/lib/tmpfiles.d/", "usr/lib/udev/rules.d/", "usr/share/doc/fieldmouse/",
       "etc/fieldmouse/")  # fmt: skip
"""Where the package may put anything."""


@pytest.fixture(scope="module")
def package(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The package, built from this checkout."""
    return build(tmp_path_factory.mktemp("package"))


@pytest.fixture(scope="module")
def root(package: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A clean Debian 13 root with the package installed by apt."""
    tools.require()
    folder = tmp_path_factory.mktemp("debian") / "root"
    subprocess.run(["cp", "-a", "--reflink=auto", roots().guest, folder], check=True)
    shutil.copy(package, folder / "root")
    code, said = inside(folder, f"apt-get install -y --no-install-recommends /root/{package.name}")
    assert code == 0, said
    yield folder
    shutil.rmtree(folder)


def inside(root: Path, command: str) -> tuple[int, str]:
    """Exit code and words of a shell command in the root, with /proc there for it."""
    bare = {"PATH": "/usr/sbin:/usr/bin", "DEBIAN_FRONTEND": "noninteractive", "LC_ALL": "C.UTF-8"}
    script = 'mount -t proc proc "$0/proc" && exec chroot "$0" sh -c "$1"'
    words = ["unshare", "--mount", "sh", "-c", script, str(root), command]
    done = subprocess.run(words, capture_output=True, text=True, env=bare, timeout=300, check=False)
    return done.returncode, done.stdout + done.stderr


def test_nothing_outside(package: Path) -> None:
    """Every file lies where the package may put one, belongs to root, and is writable by root alone."""
    listing = subprocess.run(["dpkg-deb", "--contents", package], capture_output=True, text=True, check=True).stdout
    for mode, owner, *_, name in (line.split() for line in listing.splitlines()):
        path = name.removeprefix("./")
        assert any(path.startswith(own) or own.startswith(path) for own in OWN), path
        wanted = "drwxr-xr-x" if path.endswith("/") or not path else "-rwxr-xr-x" if "bin/" in path else "-rw-r--r--"
        assert (mode, owner) == (wanted, "root/root"), path


def test_users_and_groups(root: Path) -> None:
    """The user of the service and its groups are there after the installation, and own their folder."""
    groups = inside(root, "id -Gn fieldmouse")[1].split()
    assert sorted(groups) == ["audio", "fieldmouse", "gpio", "input", "video"]
    assert inside(root, "stat -c '%U %G %a' /var/lib/fieldmouse") == (0, "fieldmouse fieldmouse 750\n")


def test_units_are_enabled(root: Path) -> None:
    """The service, the way to its card and the path that switches the box off are started with the system."""
    units = "fieldmouse.service fieldmouse-card.service fieldmouse-poweroff.path fieldmouse-poweroff.service"
    assert inside(root, f"systemctl is-enabled {units}")[1].split() == ["enabled"] * 3 + ["static"]


def test_system_files_are_sound(root: Path) -> None:
    """systemd of Debian 13 says nothing against the units, and udev nothing against the rules."""
    units = "fieldmouse.service fieldmouse-card.service fieldmouse-poweroff.path fieldmouse-poweroff.service"
    assert inside(root, f"systemd-analyze verify --man=no {units} getty@tty1.service") == (0, "")
    code, said = inside(root, "udevadm verify /usr/lib/udev/rules.d/70-fieldmouse.rules")
    assert (code, "Fail:    0" in said) == (0, True), said
    assert inside(root, "systemd-analyze security --offline=yes --threshold=10 fieldmouse.service")[0] == 0


def test_the_command_runs(root: Path) -> None:
    """The installed program runs by Debian's own Python and packages, and finds the files that ship with it."""
    code, said = inside(
        root, "fieldmouse formats && python3 -c 'import appliance.settings as s; print(s.load().format)'"
    )
    assert (code, said.splitlines()[-1]) == (0, "240p"), said


def test_gpiozero_finds_the_pin_factory(root: Path) -> None:
    """Debian's gpiozero, 1.6.2, lists our pin factory, so that it can be chosen by name."""
    program = (
        "from importlib.metadata import entry_points as e; print(*[p.name for p in e(group='gpiozero_pin_factories')])"
    )
    assert "fieldmouse_gpiod" in inside(root, f'python3 -c "{program}"')[1]


def test_purge_leaves_nothing(root: Path) -> None:
    """After a purge no file of ours is left but the user, as Debian keeps users. (Last: it takes the package away.)"""
    assert inside(root, "apt-get purge -y fieldmouse")[0] == 0
    left = inside(
        root, "find / -xdev -name '*fieldmouse*' -not -name '*.deb'; find /usr/lib/python3 -path '*/appliance*'"
    )
    assert left == (0, "")
