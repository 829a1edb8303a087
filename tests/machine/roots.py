"""The two Debian 13 roots: one to build modules in, one that becomes the guest's disk. Both are made side by side."""

import shutil
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from tests.machine import cache, tools
from tests.machine.steps import MachineTrouble, NotHere, say, step

SUITE = "trixie"
"""Debian 13: Raspberry Pi OS is of that generation."""

BUILD_PACKAGES = (
    "linux-headers-amd64", "linux-source-6.12", "make", "gcc", "libc6-dev", "xz-utils",
    "swig", "python3-dev", "python3-setuptools", "python3-pip",
)  # fmt: skip
"""For the modules; the second line for lgpio, which Debian does not have and a benchmark compares with."""

GUEST_PACKAGES = (
    "linux-image-amd64", "initramfs-tools-", "systemd", "systemd-sysv", "udev", "dbus", "kmod", "procps",
    "python3", "python3-numpy", "python3-yaml", "python3-gpiozero", "python3-libgpiod", "python3-evdev",
    "python3-jinja2", "python3-segno", "python3-pygame",
)  # fmt: skip
"""The guest's packages; a minus at the end keeps one away: we boot an initial RAM disk of our own."""

_LEAVE_OUT = ("/usr/share/man/*", "/usr/share/doc/*", "/usr/share/locale/*", "/usr/share/info/*")

_FROM_SOURCE = ("drivers/gpio/gpio-sim.c", "drivers/gpio/gpiolib.h", "kernel/irq/irq_sim.c")


@dataclass(frozen=True)
class Roots:
    """Both roots, the files taken from the kernel's source, and the kernel's name, which is the same in both."""

    key: str
    build: Path
    guest: Path
    source: Path
    kernel: str


def _debian(packages: tuple[str, ...], root: Path, log: Path) -> None:
    command = ["mmdebstrap", "--mode=root", "--variant=apt", f"--include={','.join(packages)}",
               '--aptopt=APT::Install-Recommends "false"']  # fmt: skip
    command += [f"--dpkgopt=path-exclude={pattern}" for pattern in _LEAVE_OUT]
    try:
        tools.run([*command, SUITE, root], log)
    except MachineTrouble as trouble:
        raise NotHere(f"Debian's packages cannot be had: {trouble}") from None


def _build_root(into: Path) -> None:
    with step("Debian root for building modules"):
        _debian(BUILD_PACKAGES, into / "build", into / "build.log")
    with step("GPIO simulator out of the kernel's source"):
        (into / "source").mkdir()
        tarball = next((into / "build/usr/src").glob("linux-source-*.tar.xz"))
        name = tarball.name.removesuffix(".tar.xz")
        files = [f"{name}/{file}" for file in _FROM_SOURCE]
        command: list[str | Path] = ["tar", "-xf", tarball, "-C", into / "source", "--strip-components=1", *files]
        tools.run(command, into / "build.log")


def _guest_root(into: Path) -> None:
    with step("Debian root for the guest"):
        _debian(GUEST_PACKAGES, into / "guest", into / "guest.log")


def _make(into: Path) -> None:
    say("nothing kept from before: two Debian roots are made, about two minutes")
    with ThreadPoolExecutor(2) as pool:
        for half in [pool.submit(make, into) for make in (_build_root, _guest_root)]:
            half.result()
    if _kernel(into / "build") != _kernel(into / "guest"):
        shutil.rmtree(into)
        raise MachineTrouble("the archive changed its kernel between the two roots: try again")


def _kernel(root: Path) -> str:
    return next((root / "usr/lib/modules").iterdir()).name


def roots() -> Roots:
    """Both roots, from the cache when they are there. Raises :class:`NotHere` when Debian cannot be had."""
    key = cache.content_key(SUITE, *BUILD_PACKAGES, "guest", *GUEST_PACKAGES, *_LEAVE_OUT, *_FROM_SOURCE)
    path = cache.kept("roots", key, _make)
    return Roots(key, path / "build", path / "guest", path / "source", _kernel(path / "guest"))
