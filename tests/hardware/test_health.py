"""Voltage, heat and throttling, read from files as the kernel's documentation has them."""

from pathlib import Path

import pytest

from appliance.hardware.health import HOT, Health, read_health


def chip(root: Path, number: int, name: str, alarm: str | None, file: str = "in0_lcrit_alarm") -> None:
    """A hwmon chip of that name."""
    folder = root / f"sys/class/hwmon/hwmon{number}"
    folder.mkdir(parents=True)
    (folder / "name").write_text(f"{name}\n")
    if alarm is not None:
        (folder / file).write_text(alarm)


def heat(root: Path, text: str, number: int = 0, kind: str = "") -> None:
    """A thermal zone of the board."""
    zone = root / f"sys/class/thermal/thermal_zone{number}"
    zone.mkdir(parents=True)
    (zone / "temp").write_text(text)
    (zone / "type").write_text(f"{kind}\n")


def flags(root: Path, text: str) -> None:
    """The firmware's own word, where the board maker's kernel has it."""
    node = root / "sys/devices/platform/soc/soc:firmware"
    node.mkdir(parents=True)
    (node / "get_throttled").write_text(text)


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
    assert health.hot is health.ill is ill


def test_the_processors_own_zone(tmp_path: Path) -> None:
    """Where there are several, the one that is named for the processor counts, wherever it stands."""
    heat(tmp_path, "91000\n", 0, "battery")
    heat(tmp_path, "51000\n", 1, "cpu-thermal")
    assert read_health(tmp_path) == Health(None, 51.0)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("0\n", Health(False, None, False)),
        ("0x1\n", Health(True, None, False)),
        ("50005\n", Health(True, None, True)),  # bits 0, 2, 16 and 18: low and held back, now and before
        ("50000\n", Health(False, None, False)),  # the past alone
        ("2\n", Health(False, None, True)),
        ("8\n", Health(False, None, True)),
        ("odd\n", Health(None, None, None)),
    ],
)
def test_throttling(tmp_path: Path, text: str, told: Health) -> None:
    """The bits of the board's documentation: what is so now counts, what was so once does not."""
    flags(tmp_path, text)
    assert read_health(tmp_path) == told
    assert read_health(tmp_path).ill is (bool(told.undervoltage) or bool(told.slowed))


def test_the_alarm_goes_before_the_word(tmp_path: Path) -> None:
    """The kernel polls and tells the alarm by itself; the firmware's word fills in where there is none."""
    chip(tmp_path, 0, "rpi_volt", "1\n", "in1_lcrit_alarm")
    flags(tmp_path, "0\n")
    assert read_health(tmp_path) == Health(True, None, False)


def test_a_machine_that_tells_nothing(tmp_path: Path) -> None:
    """Without these files nothing is known, and nothing is wrong."""
    assert read_health(tmp_path) == Health(None, None)
    assert not read_health(tmp_path).ill


def test_files_that_are_no_files(tmp_path: Path) -> None:
    """Folders in their places, and one that leads to itself: nothing is told, nothing raised."""
    chip(tmp_path, 0, "rpi_volt", None)
    (tmp_path / "sys/class/hwmon/hwmon0/in0_lcrit_alarm").mkdir()
    (tmp_path / "sys/class/thermal").mkdir(parents=True)
    (tmp_path / "sys/class/thermal/thermal_zone0").symlink_to("thermal_zone0")
    assert read_health(tmp_path) == Health(None, None)
