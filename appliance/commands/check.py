"""``fieldmouse check``: what this machine is and can do, line by line, and a trial of keys and lamps."""

import json as json_module
import sys
from pathlib import Path

from appliance.install.check import Line, Sources, State, check_all, is_running
from appliance.settings import Settings, load_or_default, own_file


def run(settings: Path | None, *, json: bool, sources: Sources | None = None) -> int:
    """Print a line for each thing looked at; 0 when none is wrong, else 1.

    With a person at the terminal, and the box not running, keys and lamps are tried too. Raises :class:`Refused` for
    a wrong settings file, after all the rest was told.
    """
    sources = sources or Sources()
    own = settings or own_file()
    chosen, mistake = load_or_default(own)
    lines = check_all(chosen, mistake, own, sources)
    print(_json(lines) if json else _table(lines))
    if mistake:
        raise mistake
    if not json and sys.stdin.isatty() and sys.stdout.isatty() and not is_running(chosen, sources):
        _try_out(chosen)
    return int(any(line.state is State.WRONG for line in lines))


def _json(lines: list[Line]) -> str:
    return json_module.dumps([line._asdict() for line in lines], indent=2, ensure_ascii=False)


def _table(lines: list[Line]) -> str:
    shown = []
    for line in lines:
        shown.append(f"{line.state:<5}  {line.topic:<10}  {line.seen}")
        shown += [f"{'':<19}→ {line.remedy}"] if line.remedy else []
    return "\n".join(shown)


def _try_out(settings: Settings) -> None:
    from appliance.commands.tryout import try_out
    from appliance.service.hardware import Pins, key_openers, lamp_opener
    from appliance.service.waiter import RealWaiter

    pins = Pins(settings)
    try:
        # Not grabbed: the keyboard that this was typed on must still be heard here, Ctrl+C above all.
        try_out(settings, key_openers(settings, pins, grab=False), lamp_opener(settings, pins), RealWaiter(), print)
    except KeyboardInterrupt:
        print()
    finally:
        if sys.stdin.isatty():
            forget_typed(sys.stdin.fileno())


def forget_typed(terminal: int) -> None:
    """Drop what waits at a terminal: keys pressed for the trial are not meant for whoever reads there next."""
    import termios

    termios.tcflush(terminal, termios.TCIFLUSH)
