"""What this machine is and can do, and whether the settings are right: each thing fine, to be looked at, or wrong."""

from pathlib import Path

from appliance.errors import Refused
from appliance.install.check.display import check_display
from appliance.install.check.gpio import check_devices, check_gpio
from appliance.install.check.keeping import check_keeping
from appliance.install.check.line import Line, State
from appliance.install.check.machine import check_machine
from appliance.install.check.sources import Sources
from appliance.settings import Settings

__all__ = ["Line", "Sources", "State", "check_all", "is_running"]


def check_all(settings: Settings, mistake: Refused | None, own: Path | None, sources: Sources) -> list[Line]:
    """Everything, in the order a person would ask. ``mistake`` is what is wrong with the settings file ``own``."""
    running = is_running(settings, sources)
    return [
        _settings(mistake, own),
        *check_machine(sources),
        *check_display(settings, sources, running),
        *check_gpio(settings, sources, running),
        *check_devices(settings, sources),
        *check_keeping(settings, sources),
    ]


def is_running(settings: Settings, sources: Sources) -> bool:
    """Whether the box's service runs: systemd makes its run folder at the start and removes it at the end."""
    return (sources.root / settings.folders.run.relative_to("/")).is_dir()


def _settings(mistake: Refused | None, own: Path | None) -> Line:
    if mistake:
        return Line("settings", State.WRONG, str(mistake), "mend that line; until then the box runs on what ships")
    return Line("settings", State.FINE, str(own) if own else "those that ship")
