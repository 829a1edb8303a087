"""Whether what is to outlast the power can: the folder, its file system, its room."""

import os
from collections.abc import Iterator
from pathlib import Path

from appliance.install.check.line import Line, State
from appliance.install.check.sources import Sources
from appliance.settings import Settings

ROOM = 50_000_000
"""Bytes below which it is time to make room: some thousand visits."""

_PASSING = ("tmpfs", "ramfs", "overlay")


def check_keeping(settings: Settings, sources: Sources) -> Iterator[Line]:
    """The state folder, or the one above it that is there."""
    asked = settings.folders.state
    there = next(p for p in (asked, *asked.parents) if (sources.root / p.relative_to("/")).is_dir())
    facts = os.statvfs(sources.root / there.relative_to("/"))
    kind = _file_system(sources.text("proc/mounts"), there)
    room = facts.f_bavail * facts.f_frsize
    if facts.f_flag & os.ST_RDONLY:
        yield Line("keeping", State.WRONG, f"{there} cannot be written", "mount it to be written, or set folders.state")
    elif kind in _PASSING:
        yield Line(
            "keeping", State.LOOK, f"{there} is on {kind}: gone with the power", "keep it on the card: folders.state"
        )
    elif room < ROOM:
        yield Line("keeping", State.LOOK, f"{there} has {room // 1_000_000} MB left", "make room")
    else:
        yield Line("keeping", State.FINE, f"{there} has {room // 1_000_000} MB left ({kind or 'unknown file system'})")


def _file_system(mounts: str, folder: Path) -> str:
    """The kind of file system that ``folder`` is on, by proc(5)'s mounts: the last mount of its nearest parent."""
    kinds = {line.split()[1]: line.split()[2] for line in mounts.splitlines() if len(line.split()) > 2}
    return next((kinds[str(p)] for p in (folder, *folder.parents) if str(p) in kinds), "")
