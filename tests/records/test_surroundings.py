"""Tests of what the store asks of the machine."""

from pathlib import Path, PurePosixPath

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from appliance.records.surroundings import boot_id, file_system, mounts, nothing_kept, wall_clock

CARD = """\
21 28 0:20 / /sys rw,nosuid,nodev,noexec,relatime shared:7 - sysfs sysfs rw
28 1 179:2 / / rw,noatime shared:1 - ext4 /dev/mmcblk0p2 rw
30 28 0:24 / /run rw,nosuid,nodev shared:13 - tmpfs tmpfs rw,size=87164k,mode=755
40 28 179:1 / /boot/firmware rw,relatime - vfat /dev/mmcblk0p1 rw
36 35 98:0 /mnt1 /mnt2 rw,noatime master:1 - ext3 /dev/root rw,errors=continue
50 28 0:40 / /var/lib/my\\040box rw - tmpfs tmpfs rw
60 28 8:1 / /home rw - ext4 /dev/sda1 rw
61 60 0:41 / /home rw - overlay overlay rw
"""
"""In the form of proc_pid_mountinfo(5), whose example is the line of /mnt2; the others are invented in that form."""


@pytest.mark.parametrize(
    ("folder", "kind"),
    [
        ("/var/lib/fieldmouse", "ext4"),
        ("/", "ext4"),
        ("/run/fieldmouse", "tmpfs"),
        ("/runner", "ext4"),
        ("/mnt2/a", "ext3"),
        ("/var/lib/my box/records", "tmpfs"),
        ("/home/a", "overlay"),
        ("/boot/firmware", "vfat"),
    ],
)
def test_the_file_system_of_a_folder_is_told(folder: str, kind: str) -> None:
    """The longest mount point holds a folder, by whole names; of two on one place the later hides the earlier."""
    assert file_system(CARD, PurePosixPath(folder)) == kind


def test_the_screen_hears_what_the_power_takes() -> None:
    """Words for memory and for a layer over a card, none for a card, none where the machine does not tell."""
    assert nothing_kept(CARD, PurePosixPath("/var/lib/fieldmouse")) == ""
    assert nothing_kept("", PurePosixPath("/var/lib/fieldmouse")) == ""
    assert nothing_kept(CARD, PurePosixPath("/run/a")).startswith("nothing will be kept: /run/a is on tmpfs")
    read_only_card = CARD.replace("179:2 / / rw,noatime shared:1 - ext4", "0:22 / / rw - overlay")
    assert "overlay" in nothing_kept(read_only_card, PurePosixPath("/var/lib/fieldmouse"))


@settings(max_examples=50)
@given(st.text(), st.lists(st.text()))
def test_no_text_of_mounts_is_an_error(text: str, lines: list[str]) -> None:
    """Whatever the kernel may write one day, the answer is a kind or nothing."""
    assert isinstance(file_system(text, PurePosixPath("/a")), str)
    assert isinstance(file_system("".join(f"1 2 3 / {line} rw - {line}\n" for line in lines), PurePosixPath("/a")), str)


def test_this_machine_tells_its_mounts() -> None:
    """The kernel's own text names a file system for the processes' folder: proc(5)."""
    assert file_system(mounts(), PurePosixPath("/proc/self")) == "proc"


def test_the_boot_has_a_name(tmp_path: Path) -> None:
    """As the kernel tells it, and a word where it does not."""
    tmp_path.joinpath("boot_id").write_text("5c8b0b0e-2f0b-4c59-9d5e-5f1f3ac2a111\n")
    assert boot_id(tmp_path / "boot_id") == "5c8b0b0e-2f0b-4c59-9d5e-5f1f3ac2a111"
    assert boot_id(tmp_path / "none") == "unknown"
    assert len(boot_id()) == 36
    assert mounts(tmp_path / "none") == ""


def test_a_clock_is_set_once_somebody_set_it(tmp_path: Path) -> None:
    """Without the time service's mark the wall time is there, and known not to be set."""
    wall, synced = wall_clock(tmp_path / "synchronized")
    assert wall > 1.6e9
    assert not synced
    tmp_path.joinpath("synchronized").touch()
    assert wall_clock(tmp_path / "synchronized")[1]
