"""``fieldmouse run`` and ``fieldmouse window``: the box itself."""

import logging
import signal
from dataclasses import replace
from pathlib import Path

from appliance.errors import Refused
from appliance.hardware import supervisor
from appliance.hardware.health import read_health
from appliance.service.assemble import Memory, ask_for_power_off, assemble, log_to_stderr
from appliance.service.early import OWN_SETTINGS, Early, state_folder
from appliance.service.first_light import settings_mark
from appliance.service.hardware import find_hardware
from appliance.service.scribe import box_archive
from appliance.service.service import Service
from appliance.service.waiter import RealWaiter
from appliance.settings import Settings, load, load_or_default, own_file
from appliance.video.formats import find_format

log = logging.getLogger(__name__)


def run(
    screen: str, settings_path: Path | None, format_name: str | None, seconds: float | None, early: Early | None
) -> int:
    """Run the box until it is told to stop, its window is closed, or ``seconds`` have gone by.

    A settings file named on the command line must be right: raises :class:`Refused` else. The box's own is not asked
    that much: with a mistake in it the box comes up on what ships, and says so.
    """
    if format_name is not None:
        find_format(format_name)
    # With an early picture the watchdog waits already, while a slow board is busy importing: a sign of life after that,
    # and one before the keys are opened, which imports again.
    supervisor.notify(supervisor.ALIVE)
    settings, mistake = _settings(settings_path)
    log_to_stderr()
    waiter = RealWaiter()
    folder = state_folder(screen) if screen != "kms" else str(_kms_folder(settings))
    service = assemble(
        settings,
        replace(
            find_hardware(settings, screen),
            # Only the box itself may be switched off by its keys; a window is closed by them.
            off=lambda: ask_for_power_off(settings.folders.run) if screen == "kms" else _close(service),
            health=read_health,
        ),
        Memory(folder, settings_mark(str(settings_path or OWN_SETTINGS)), box_archive(Path(folder))),
        waiter,
        mistake=mistake,
        early=early,
        format_name=format_name,
    )
    caught = _stop_on_signals(service)
    supervisor.notify(supervisor.ALIVE)
    service.run(None if seconds is None else waiter.clock() + seconds)
    for number in caught:
        log.info("%s: stopped", signal.Signals(number).name)
    return 0


def _close(service: Service) -> bool:
    service.stop()
    return True


def _settings(path: Path | None) -> tuple[Settings, Refused | None]:
    return (load(path), None) if path is not None else load_or_default(own_file())


def _kms_folder(settings: Settings) -> Path:
    given = Path(state_folder("kms"))
    return settings.folders.state if given == Path("/var/lib/fieldmouse") else given


def _stop_on_signals(service: Service) -> list[int]:
    """SIGTERM and SIGINT end the loop cleanly; which of them came is in the list that is given back."""
    caught: list[int] = []

    def stop(number: int, frame: object) -> None:  # noqa: ARG001 - the signature of a handler
        # Not a word from in here: it may have broken into the very line that the log is writing.
        caught.append(number)
        service.stop()

    signal.signal(signal.SIGTERM, stop)
    signal.signal(signal.SIGINT, stop)
    return caught
