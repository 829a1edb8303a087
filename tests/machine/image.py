"""The guest's disk: the Debian root, our modules and helper, the product, as one ext4 image."""

import shutil
from dataclasses import dataclass
from pathlib import Path

from tests.machine import cache, product, tools
from tests.machine.kernel import Kernel, kernel
from tests.machine.roots import Roots, roots
from tests.machine.steps import step

GUEST = Path(__file__).parent / "guest"

SIZE = "1400M"


@dataclass(frozen=True)
class Built:
    """All that QEMU needs. The disk is never written: a run takes a copy."""

    vmlinux: Path
    initrd: Path
    disk: Path


def build() -> Built:
    """Everything, from the cache where it is there; raises :class:`MachineTrouble` naming what is missing."""
    tools.require()
    with cache.locked("build", "another build is under way, waiting for it"):
        roots_ = roots()
        kernel_ = kernel(roots_)
        ours = [GUEST, Path(__file__), Path(product.__file__)]
        key = cache.content_key(roots_.key, kernel_.key, product.content_key(), SIZE, *ours)
        path = cache.kept("disk", key, lambda into: _make(roots_, kernel_, into))
        return Built(kernel_.vmlinux, kernel_.initrd, path / "disk.ext4")


def _make(roots_: Roots, kernel_: Kernel, into: Path) -> None:
    root, log = into / "root", into / "disk.log"
    with step("copy of the guest's root, with modules and helper"):
        tools.run(["cp", "-a", "--reflink=auto", roots_.guest, root], log)
        _modules(root, roots_.kernel, kernel_, log)
        _settings(root)
        _helper(root, log)
    product.install(root)
    with step("disk image"):
        options = ["-q", "-t", "ext4", "-m", "0", "-E", "lazy_itable_init=1,lazy_journal_init=1"]
        tools.run(["mke2fs", *options, "-d", root, into / "disk.ext4", SIZE], log)
        shutil.rmtree(root)


def _modules(root: Path, name: str, kernel_: Kernel, log: Path) -> None:
    extra = root / "usr/lib/modules" / name / "extra"
    extra.mkdir()
    for module in kernel_.modules:
        shutil.copy(module, extra)
    tools.run(["depmod", "-b", root, name], log)


def _settings(root: Path) -> None:
    (root / "etc/hostname").write_text("fieldmouse\n")
    (root / "etc/machine-id").write_text("")
    for folder in ("etc", "var"):  # nothing is to be rebuilt at the first start: all of it was made by package scripts
        (root / folder / ".updated").touch()
    (root / "etc/fstab").write_text("/dev/vda / ext4 rw,relatime 0 0\n")
    shutil.copy(GUEST / "files/60-machine-gpio.rules", root / "etc/udev/rules.d")
    shutil.copy(GUEST / "files/machine-modules.conf", root / "etc/modprobe.d")
    (root / "usr/lib/sysusers.d").mkdir(exist_ok=True)
    shutil.copy(GUEST / "files/machine.sysusers", root / "usr/lib/sysusers.d/machine.conf")


def _helper(root: Path, log: Path) -> None:
    home = root / "usr/lib/machine-helper"
    home.mkdir()
    shutil.copytree(GUEST, home / "guest", ignore=shutil.ignore_patterns("__pycache__", "files"))
    shutil.copy(GUEST / "files/machine-hardware.sh", home)
    for unit in (GUEST / "files").glob("*.service"):
        shutil.copy(unit, root / "usr/lib/systemd/system")
        tools.run(["chroot", root, "systemctl", "enable", unit.name], log)
    tools.run(["chroot", root, "python3", "-m", "compileall", "-q", "/usr/lib/machine-helper"], log)
    tools.run(["chroot", root, "systemd-sysusers"], log)
