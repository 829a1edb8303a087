"""The composite screen on a real kernel: the clauses and what only a kernel can show. Run as root, in a machine that
has a composite connector and nothing on it::

    python3 -m tests.hardware.screens.on_kernel

Prints one JSON object a check: ``check``, ``wrong`` (empty when it held) and, for the measured ones, ``figures``.
Nothing but Python is needed; the picture is read back by the machine's own helper, behind the screen's back.
"""

from __future__ import annotations

import errno
import json
import os
import select
import sys
import time
import traceback
import zlib
from base64 import b64decode
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

from appliance.hardware.screens import uapi
from appliance.hardware.screens.base import CardBusy, NoConnector
from appliance.hardware.screens.describe import describe
from appliance.hardware.screens.drm import LINUX, Linux
from appliance.hardware.screens.kms import KmsScreen
from tests.hardware.screens.contract import CLAUSES, MODES, NTSC_240P, await_flip, full, rows

if TYPE_CHECKING:
    from collections.abc import Callable

    from appliance.hardware.screens import drm

sys.path.append("/usr/lib/machine-helper")


class WithoutAtomic(Linux):
    """The kernel as one that knows no atomic commits."""

    def ioctl(self, fd: int, number: int, data: bytearray) -> None:
        """As the real call, but that the capability is refused."""
        if number == uapi.SET_CLIENT_CAP.number:
            raise OSError(errno.EOPNOTSUPP, os.strerror(errno.EOPNOTSUPP))
        super().ioctl(fd, number, data)


class KernelRig:
    """The composite connector of this machine."""

    slack = 3e-6  # the kernel's stamps are whole microseconds

    def __init__(self, system: drm.System = LINUX) -> None:
        self.screen = KmsScreen(system=system)

    def wait(self) -> float:
        """Until the card has something to say."""
        watched = self.screen.fileno()
        if watched is not None:
            select.select([watched], [], [], 2)
        return time.monotonic()

    def scanout(self, pixels: bool = False) -> dict[str, Any]:
        """What the machine's helper reads of the screen."""
        from guest import scanout  # type: ignore[import-not-found] # there in the machine only

        found: dict[str, Any] = scanout.scanout(pixels)
        return found

    def picture(self) -> bytes | None:
        """The words scanned out."""
        return zlib.decompress(b64decode(self.scanout(pixels=True)["rows"]))


def the_kernel_has_mode_and_colour_system(rig: KernelRig) -> None:
    """Every mode's modeline and TV mode are the ones asked for, whatever was there before."""
    for mode in (*MODES, *reversed(MODES)):
        surface = full(rig, mode)
        rig.screen.start(mode, surface)
        await_flip(rig)
        found = rig.scanout()
        assert found["modeline"] == [int(n) for n in mode.modeline], found
        assert found["tv_mode"] == mode.tv_mode, found


def nobody_else_gets_the_card(rig: KernelRig) -> None:
    """A second opener is told that the card is busy, root though it is, and the picture stays."""
    rig.screen.start(NTSC_240P, full(rig, NTSC_240P))
    await_flip(rig)
    try:
        KmsScreen().close()
    except CardBusy:
        assert rig.picture() == rows(720, 240).tobytes()
        assert describe()[0]["held"]
    else:
        raise AssertionError("two screens on one card")


def closing_gives_the_card_back(rig: KernelRig) -> None:
    """Closed with pictures in use and freed, nothing of them is scanned out and the next opener gets the screen."""
    rig.screen.start(NTSC_240P, full(rig, NTSC_240P))
    await_flip(rig)
    rig.screen.free(full(rig, NTSC_240P, 2))
    rig.screen.close()
    assert rig.scanout()["fb"] == 0, rig.scanout()
    rig.screen = KmsScreen()
    rig.screen.start(NTSC_240P, full(rig, NTSC_240P))
    await_flip(rig)


def group_video_is_enough(rig: KernelRig) -> None:
    """A user without privileges, in the group of the card, gets the screen and its flips."""
    rig.screen.close()
    path = describe()[0]["path"]
    child = os.fork()
    if not child:
        os.setgroups([Path(path).stat().st_gid])
        os.setgid(65534)
        os.setuid(65534)
        inner = KernelRig()
        inner.screen.start(NTSC_240P, full(inner, NTSC_240P))
        await_flip(inner)
        os._exit(0)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0
    rig.screen = KmsScreen()  # a program that ended without closing leaves the card free


def a_disconnected_connector_is_told(rig: KernelRig) -> None:
    """Disconnected is trouble, unknown and connected are fine."""
    from guest import scanout

    rig.screen.close()
    try:
        for status, fine in ((2, False), (3, True), (1, True)):
            scanout.connector(status=status)
            try:
                rig.screen = KmsScreen()
                rig.screen.close()
                assert fine, status
            except NoConnector:
                assert not fine, status
    finally:
        scanout.connector(status=1)


def describing_lets_go(rig: KernelRig) -> None:
    """What the card offers, with the card free afterwards."""
    rig.screen.close()
    (card,) = [card for card in describe() if any(c["type"] == "Composite" for c in card["connectors"])]
    (composite,) = card["connectors"]
    assert not card["held"]
    assert {"NTSC", "PAL", "Mono"} <= set(composite["tv_modes"])
    assert composite["modes"], composite
    rig.screen = KmsScreen()


def moving(rig: KernelRig) -> dict[str, float]:
    """Six hundred fields of movement through an oversize picture: rate, gaps, own CPU a field, reading late."""
    surface = rig.screen.surface(rows(800, 300), 800, 300)
    rig.screen.start(NTSC_240P, surface)
    stamps, late = [await_flip(rig).stamp], []
    path = [(n, n % 60) for n in range(80)]
    for at in path:  # so that every framebuffer is there
        rig.screen.flip(surface, at)
        await_flip(rig)
    first = os.times()
    stamps = []
    for n in range(600):
        rig.screen.flip(surface, path[n % 80])
        now = rig.wait()
        flips = rig.screen.read(now)
        stamps += [flip.stamp for flip in flips]
        late += [now - flip.stamp for flip in flips]
    spent = [(after - before) * 1000 / len(stamps) for before, after in zip(first[:2], os.times()[:2], strict=True)]
    field = NTSC_240P.modeline.field_time
    steps = [round((b - a) / field) for a, b in pairwise(stamps)]
    return {
        "field_ms": field * 1000,
        "mean_ms": (stamps[-1] - stamps[0]) / sum(steps) * 1000,
        "single_steps": steps.count(1),
        "steps": len(steps),
        "longest_step": max(steps),
        "late_ms_median": sorted(late)[len(late) // 2] * 1000,
        "own_ms_a_field": spent[0],
        "kernel_ms_a_field": spent[1],
    }


def moving_keeps_the_rate(rig: KernelRig) -> dict[str, float]:
    """The mean by the stamps is the 262-line period to 20 parts in a million; an emulated machine may skip fields."""
    figures = moving(rig)
    assert abs(figures["mean_ms"] / figures["field_ms"] - 1) < 20e-6, figures
    assert figures["single_steps"] >= 0.8 * figures["steps"], figures
    return figures


def switching_is_quick(rig: KernelRig) -> dict[str, float]:
    """How long a change between 525 and 625 lines takes, to the call's end and to the flip."""
    surfaces = {mode: full(rig, mode) for mode in MODES}
    calls, flips = [], []
    for mode in (*MODES, *MODES):
        before = time.monotonic()
        rig.screen.start(mode, surfaces[mode])
        calls.append(time.monotonic() - before)
        await_flip(rig)
        flips.append(time.monotonic() - before)
    return {"call_ms_median": sorted(calls)[5] * 1000, "flip_ms_median": sorted(flips)[5] * 1000}


OURS: tuple[Callable[[KernelRig], Any], ...] = (
    the_kernel_has_mode_and_colour_system,
    nobody_else_gets_the_card,
    closing_gives_the_card_back,
    group_video_is_enough,
    a_disconnected_connector_is_told,
    describing_lets_go,
    moving_keeps_the_rate,
    switching_is_quick,
)


def attempt(check: Callable[[Any], Any], system: drm.System, note: str) -> dict[str, Any]:
    """Run one check on a screen of its own."""
    said: dict[str, Any] = {"check": f"{check.__name__}{note}", "wrong": ""}
    try:
        rig = KernelRig(system)
        try:
            said["figures"] = check(rig)
        finally:
            rig.screen.close()
    except Exception:
        said["wrong"] = traceback.format_exc()
    return said


def main() -> None:
    """Every check with atomic commits, and again without."""
    before = time.monotonic()
    KmsScreen().close()
    print(json.dumps({"check": "opening", "wrong": "", "figures": {"ms": (time.monotonic() - before) * 1000}}))
    for system, note in ((LINUX, ""), (WithoutAtomic(), ", without atomic commits")):
        for check in (*CLAUSES, *OURS):
            print(json.dumps(attempt(check, system, note)), flush=True)


if __name__ == "__main__":
    main()
