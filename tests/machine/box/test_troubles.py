"""Killed, frozen, stopped, robbed of card, chip and connector: the picture comes back, and the power stays on."""

import pytest

from tests.machine.box.handle import KEPT, LAMPS, QUICK, UNIT, Box

pytestmark = pytest.mark.machine

QUICK_WATCHDOG = "/run/systemd/system/fieldmouse.service.d/test.conf"

TAKE_LINE = """
import glob, signal, gpiod
with gpiod.request_lines(glob.glob("/dev/gpiochip*")[0], consumer="taken", config={5: gpiod.LineSettings()}):
    signal.pause()
"""


def _still_on(box: Box) -> None:
    """Nobody asked for the power to be switched off, and the system is not on its way down."""
    assert box.machine.run("test -e /run/fieldmouse/poweroff").code == 1
    asked = box.machine.ask("unit", unit="fieldmouse-poweroff.service", names=["ActiveState"])
    assert asked == {"ActiveState": "inactive"}
    assert box.machine.run("systemctl is-system-running").out.strip() not in ("stopping", "offline")


def _wait_new(box: Box, old: int) -> int:
    return box.wait("a new process", lambda: pid if (pid := box.pid()) != old else 0)


def test_killed_and_back(box: Box) -> None:
    """After a SIGKILL the same picture is back, by a new process, and the power stays on."""
    box.start(QUICK)
    box.press("vary")
    box.wait_remembered("240p", "NTSC", "crosshatch", "fine")
    old = box.pid()
    box.must(f"kill -KILL {old}")
    assert _wait_new(box, old) != old
    box.wait_ready()
    box.wait_picture("crosshatch:fine")
    assert box.facts("Result", "ActiveState") == {"Result": "success", "ActiveState": "active"}
    _still_on(box)


def test_frozen_and_back(box: Box) -> None:
    """A still picture outlasts its watchdog; a frozen service is ended by it and started anew; the power stays on."""
    shipped = box.facts("WatchdogUSec")["WatchdogUSec"]
    assert shipped == "30s"
    box.machine.write(QUICK_WATCHDOG, "[Service]\nWatchdogSec=12\nTimeoutAbortSec=1\n")
    try:
        box.must("systemctl daemon-reload")
        box.start(QUICK)
        old, begun = box.pid(), box.now()
        box.wait("longer than the watchdog", lambda: box.now() > begun + 14)
        assert box.pid() == old
        box.must(f"kill -STOP {old}")
        _wait_new(box, old)
        box.wait_ready()
        box.wait_picture("crosshatch:white")
        assert [m for m in _manager_said(box, begun) if "atchdog" in m]
        _still_on(box)
    finally:
        box.machine.run(f"rm {QUICK_WATCHDOG}; systemctl daemon-reload")


def _manager_said(box: Box, since: float) -> list[str]:
    return [line["message"] for line in box.machine.journal(UNIT) if line["at"] >= since and line["who"] == "systemd"]


def test_stopped_in_good_order(box: Box) -> None:
    """A stop ends in black with lamps off and code 0; the power stays on."""
    box.start(QUICK)
    box.wait_picture("crosshatch:white")
    shown = box.machine.scanout(pixels=False).fb
    box.stop()
    last = next(field.fb for field in reversed(box.machine.fields()) if field.fb)
    assert last != shown  # black with sync
    assert box.machine.ask("lamps", lines=list(LAMPS.values())) == [False] * 3
    assert box.facts("ExecMainStatus", "ActiveState", "Result") == {
        "ExecMainStatus": "0", "ActiveState": "inactive", "Result": "success",
    }  # fmt: skip
    _still_on(box)


def test_card_busy_at_start(box: Box) -> None:
    """While another program holds the card the lamp counts three; once it lets go the picture comes."""
    box.stop()
    box.machine.run(["rm", "-f", KEPT])
    box.machine.ask("hold", modeline=[13500, 720, 734, 798, 858, 240, 243, 246, 262, 0], tv_mode="NTSC",
                    size=[720, 240], seed=3, at=[0, 0])  # fmt: skip
    try:
        box.must(f"systemctl start {UNIT}")
        assert box.code() == 3
        assert not box.lit("ready")
    finally:
        box.machine.ask("let_go")
    box.wait_ready()
    box.wait_picture("crosshatch:white")
    assert box.said("lamp code 3")
    assert box.said("screen: back")


@pytest.mark.parametrize("missing", ["disconnected", "no-driver"])
def test_connector_missing_at_start(box: Box, missing: str) -> None:
    """Without a composite connector the lamp counts two; when it comes the picture does."""
    take, give = {
        "disconnected": ("echo 2 > /sys/module/composite_lead/parameters/status",
                         "echo 1 > /sys/module/composite_lead/parameters/status"),
        "no-driver": ("modprobe -r composite_lead", "modprobe composite_lead"),
    }[missing]  # fmt: skip
    box.stop()
    box.machine.run(["rm", "-f", KEPT])
    box.must(take)
    try:
        begun = box.now()
        box.must(f"systemctl start {UNIT}")
        assert box.code() == 2
        assert not box.lit("ready")
        assert len(box.said("lamp code 2", begun)) == 1  # told once and not at every try
    finally:
        box.must(give)
    box.wait_ready()
    box.wait_picture("crosshatch:white")


def test_key_line_taken(box: Box) -> None:
    """While another program has a key's line the lamp counts four over the picture; then the keys come back."""
    box.stop()
    box.machine.write("/run/take-line.py", TAKE_LINE)
    box.must("systemd-run --collect --unit=take-line python3 /run/take-line.py")
    box.wait("the line to be taken", lambda: box.machine.run("grep taken /sys/kernel/debug/gpio").code == 0)
    try:
        box.start(QUICK)
        assert box.code() == 4
        box.wait_picture("crosshatch:white")
    finally:
        box.must("systemctl stop take-line")
    box.wait_said("keys: back")
    box.press("vary")
    box.wait_picture("crosshatch:fine")
    assert box.code() == 0


def test_chip_missing_at_start(box: Box) -> None:
    """Without a GPIO chip there is the picture and a line in the journal; with it keys and lamps come."""
    box.stop()
    box.machine.run(["rm", "-f", KEPT])
    box.machine.ask("chip", there=False)
    try:
        begun = box.now()
        box.must(f"systemctl start {UNIT}")
        box.wait_picture("crosshatch:white")
        assert len(box.said("lamp code 4", begun)) == 1
    finally:
        box.machine.ask("chip", there=True)
    _wait_keys(box)


def test_chip_pulled_out_in_use(box: Box) -> None:
    """The chip goes while the box is used: the picture stays; when it is back keys and lamps work again."""
    box.start(QUICK)
    box.wait_picture("crosshatch:white")
    begun = box.now()
    box.machine.ask("chip", there=False)
    box.wait_said("lamp code 4", begun)
    pid = box.pid()
    box.wait_picture("crosshatch:white")
    box.machine.ask("chip", there=True)
    _wait_keys(box)
    assert box.pid() == pid


def _wait_keys(box: Box) -> None:
    """The lamps light again and a press is heard."""
    box.wait_ready()
    box.press("vary")
    box.wait_picture("crosshatch:fine")
