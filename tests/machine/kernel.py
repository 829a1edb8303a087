"""What goes into the emulator besides the disk: the kernel, its initial RAM disk, and the two modules of ours."""

import lzma
import re
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

from tests.machine import cache, tools
from tests.machine.roots import Roots
from tests.machine.steps import MachineTrouble, step

SOURCES = Path(__file__).parent / "kernel"

DISK_MODULES = ("virtio_blk", "crc32c_generic", "libcrc32c", "crc16", "mbcache", "jbd2", "ext4")
"""What the disk needs, in the order of loading (crc32c is a soft dependency that modules.dep does not name)."""


@dataclass(frozen=True)
class Kernel:
    """The files: an uncompressed kernel, the initial RAM disk, and modules that go onto the disk."""

    key: str
    vmlinux: Path
    initrd: Path
    modules: tuple[Path, ...]


def kernel(roots: Roots) -> Kernel:
    """The kernel's files for ``roots``, from the cache when neither the roots nor our sources changed."""
    key = cache.content_key(roots.key, SOURCES, *DISK_MODULES, Path(__file__))
    path = cache.kept("kernel", key, lambda into: _make(roots, into))
    return Kernel(key, path / "vmlinux", path / "initrd", (path / "gpio-sim.ko", path / "composite_lead.ko"))


def _make(roots: Roots, into: Path) -> None:
    with step("modules for GPIO lines and the composite connector, initial RAM disk"):
        _gpio_sim(roots, into)
        _compile_module(roots, SOURCES / "lead", into, "composite_lead.ko")
        _initrd(roots, into)
        _unpack_kernel(roots.guest / f"boot/vmlinuz-{roots.kernel}", into / "vmlinux")


def _gpio_sim(roots: Roots, into: Path) -> None:
    """A composite object may not share its name with a source of it, and irq_to_desc is not there for modules."""
    folder = into / "gpio_sim"
    shutil.copytree(SOURCES / "gpio_sim", folder)
    shutil.copy(roots.source / "drivers/gpio/gpio-sim.c", folder / "sim_main.c")
    shutil.copy(roots.source / "drivers/gpio/gpiolib.h", folder)
    text = (roots.source / "kernel/irq/irq_sim.c").read_text()
    mended = re.sub(r"handle_simple_irq\(irq_to_desc\((\w+)\)\)", r"generic_handle_irq(\1)", text)
    (folder / "irq_sim.c").write_text(mended)
    _compile_module(roots, folder, into, "gpio-sim.ko")


def _compile_module(roots: Roots, source: Path, into: Path, name: str) -> None:
    inside = roots.build / "src" / source.name
    shutil.rmtree(inside, ignore_errors=True)
    shutil.copytree(source, inside)
    place, log = f"/src/{source.name}", into / "modules.log"
    tools.run(["chroot", roots.build, "make", "-C", f"/lib/modules/{roots.kernel}/build", f"M={place}", "modules"], log)
    tools.run(["chroot", roots.build, "strip", "--strip-debug", f"{place}/{name}"], log)
    shutil.copy(inside / name, into)


def _initrd(roots: Roots, into: Path) -> None:
    tree, log = into / "initrd.tree", into / "initrd.log"
    tree.mkdir()
    inside = roots.build / "src/init.c"
    inside.parent.mkdir(exist_ok=True)
    shutil.copy(SOURCES / "init.c", inside)
    tools.run(["chroot", roots.build, "gcc", "-O2", "-Wall", "-static", "-s", "-o", "/src/init", "/src/init.c"], log)
    shutil.copy(roots.build / "src/init", tree / "init")
    (tree / "order").write_text("".join(f"{name}\n" for name in DISK_MODULES))
    for name in DISK_MODULES:
        (tree / f"{name}.ko").write_bytes(_module(roots, name))
    tools.run(["sh", "-c", "find . | cpio --quiet -o -H newc > ../initrd"], log, cwd=tree)


def _module(roots: Roots, name: str) -> bytes:
    found = list((roots.guest / "usr/lib/modules" / roots.kernel / "kernel").rglob(f"{name}.ko*"))
    if not found:
        raise MachineTrouble(f"the guest's kernel {roots.kernel} has no module {name}")
    packed = found[0].read_bytes()
    return lzma.decompress(packed) if found[0].suffix == ".xz" else packed


def _unpack_kernel(vmlinuz: Path, vmlinux: Path) -> None:
    """The kernel's image carries itself packed by zstd; unpacked it starts a second sooner in emulation."""
    packed = vmlinuz.read_bytes()
    at = packed.find(b"\x28\xb5\x2f\xfd")
    # No check of its code: what follows the packed part is none, and zstd says so.
    done = subprocess.run(["zstd", "-dcq"], input=packed[at:], capture_output=True, check=False)
    if not done.stdout.startswith(b"\x7fELF"):
        raise MachineTrouble(f"no packed kernel found in {vmlinuz}")
    vmlinux.write_bytes(done.stdout)
