"""The command ``fieldmouse``: words into calls. Everything is imported when its command is asked for.

``run`` puts up the picture kept for it before even the words are taken apart: that is what makes the box quick.
"""

import os
import sys

from appliance.errors import Refused

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Callable


def main(argv: "list[str] | None" = None) -> int:
    """Run a command; 0 when it did its work, 2 with one line on standard error when something was asked wrongly."""
    words = sys.argv[1:] if argv is None else argv
    early = None
    try:
        if words[:1] == ["run"]:
            from appliance.service.early import early_picture, end_on_signals

            end_on_signals()
            early = early_picture(words[1:])
        options = _parser().parse_args(words)
        options.early = early
        command: Callable[[Namespace], int] = options.command
        code = command(options)
        sys.stdout.flush()  # what is still to be written meets a reader that has left here, and not at the very end
        return code
    except Refused as refused:
        # One line, whatever a name in it holds.
        print(f"fieldmouse: {' '.join(str(refused).splitlines())}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        # As Python's own note on SIGPIPE has it: else it complains when it flushes the rest at its end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return 130
    except SystemExit as end:
        if early is not None and end.code == 0:  # told to stop before the service took over
            early.end_in_black()
        raise


def _parser() -> "ArgumentParser":
    from appliance.commands.words import parser

    return parser()
