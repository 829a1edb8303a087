"""``fieldmouse install`` and ``fieldmouse uninstall``: composite in the boot files of a Raspberry Pi, and out again."""

from pathlib import Path

from appliance.errors import Refused
from appliance.install.board import find_board
from appliance.install.boot_files import (
    Change,
    find_folder,
    kept_system,
    plan_install,
    plan_uninstall,
    write_install,
    write_uninstall,
)
from appliance.video.formats import TV_MODES


def run(board: str, system: str | None, root: Path, *, dry_run: bool) -> int:
    """Put what ``board`` (or ``auto``) needs into the boot files under ``root``, or only show it if ``dry_run``.

    Without ``system`` one chosen before is kept, and that is said. Raises :class:`Refused` for an unknown board or
    system, and for files that are not there, are not what they should be, or cannot be written.
    """
    if system is not None and system not in TV_MODES:
        raise Refused(f"system {system!r}: unknown; there are {', '.join(TV_MODES)}")
    find_folder(root)  # where there are no boot files, the board is not to blame
    chosen = find_board(board, root)
    changes = plan_install(root, chosen, system)
    if system is None and (kept := kept_system(changes)):
        print(f"The colour system chosen before, {kept}, is kept; --system chooses another, uninstalling drops it.")
    if not _show(changes):
        print(f"Nothing to do: the boot files have what a {chosen.name} needs.")
    elif dry_run:
        print("Nothing was written (--dry-run).")
    else:
        write_install(changes)
        print(
            f"Written for a {chosen.name}; copies end in .before-fieldmouse. Restart it to have composite: sudo reboot"
        )
    return 0


def run_uninstall(root: Path, *, dry_run: bool) -> int:
    """Take out of the boot files under ``root`` what :func:`run` put in, or only show it if ``dry_run``."""
    changes = plan_uninstall(root)
    if not _show(changes):
        print("Nothing to do: the boot files hold nothing of Fieldmouse.")
    elif dry_run:
        print("Nothing was written (--dry-run).")
    else:
        for copy in write_uninstall(changes):
            print(f"{copy}: the file has changed since; the copy is kept.")
        print("Taken out. Restart it to have it so: sudo reboot")
    return 0


def _show(changes: list[Change]) -> bool:
    """Print the difference; whether there is one."""
    text = "".join(change.diff() for change in changes)
    if text:
        print(text.encode("utf-8", "backslashreplace").decode(), end="")
    return bool(text)
