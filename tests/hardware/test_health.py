"""Voltage and heat, read from files as the kernel's documentation has them."""

from pathlib import Path

import pytest

from appliance.hardware.health import HOT, Health, read_health


def chip(root: Path, number: int, name: str, alarm: str | None) -> None:
    """A hwmon chip of that name."""
    folder = root / f"sys/class/hwmon/hwmon{number}"
    folder.mkdir(parents=True)
    (folder / "name").write_text(f"{name}\n")
    if alarm is not None:
        (folder / "in0_lcrit_alarm").write_text(alarm)


def heat(root: Path, text: str) -> None:
    """The board's thermal zone."""
    (root / "sys/class/thermal/thermal_zone0").mkdir(parents=True)
    (root / "sys/class/thermal/thermal_zone0/temp").write_text(text)


@pytest.mark.parametrize(("alarm", "told"), [("0\n", False), ("1\n", True), ("", None), (None, None)])
def test_undervoltage(tmp_path: Path, alarm: str | None, told: bool | None) -> None:
    """The alarm of the chip that names itself rpi_volt, and of no other, is the undervoltage."""
    chip(tmp_path, 0, "cpu_thermal", "1\n")
    chip(tmp_path, 1, "rpi_volt", alarm)
    health = read_health(tmp_path)
    assert health.undervoltage is told
    assert health.ill is bool(told)


@pytest.mark.parametrize(
    ("text", "celsius", "ill"),
    [("48312\n", 48.312, False), ("-2000\n", -2.0, False), ("80000\n", HOT, True), ("hot", None, False)],
)
def test_heat(tmp_path: Path, text: str, celsius: float | None, ill: bool) -> None:
    """Thousandths of a degree become degrees; what is no number tells nothing."""
    heat(tmp_path, text)
    health = read_health(tmp_path)
    assert health.celsius == celsius
    assert health.ill is ill


def test_a_machine_that_tells_nothing(tmp_path: Path) -> None:
    """Without these files nothing is known, and nothing is wrong."""
    assert read_health(tmp_path) == Health(None, None)
    assert not read_health(tmp_path).ill
