"""The words of the command line, and which command each leads to."""

import argparse
import sys
from pathlib import Path
from typing import NoReturn

from appliance import __version__
from appliance.errors import Refused
from appliance.video.formats import FORMATS, TV_MODES


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        """One line, and code 2."""
        print(f"{self.prog}: {message} (see {self.prog} --help)", file=sys.stderr)
        sys.exit(2)


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    top = _Parser(prog="fieldmouse", description="Exact composite test pictures for CRT television sets.")
    top.add_argument("--version", action="version", version=f"fieldmouse {__version__}")
    commands = top.add_subparsers(metavar="COMMAND", required=True)
    _running(commands)
    _telling(commands)
    _soaking(commands)
    _drawing(commands)
    _visiting(commands)
    _installing(commands)
    return top


def _running(commands: "argparse._SubParsersAction[_Parser]") -> None:
    run = commands.add_parser("run", help="run the box")
    run.add_argument("--screen", choices=("kms", "window", "memory"), default="kms", help="where pictures go (kms)")
    _settings(run)
    _format(run, default=None)
    run.add_argument("--for", dest="seconds", type=_seconds, metavar="SECONDS", help="stop after so long")
    run.set_defaults(command=_run)
    window = commands.add_parser("window", help="try the box in a window, with the keyboard for keys")
    _settings(window)
    _format(window, default=None)
    window.set_defaults(command=_run, screen="window", seconds=None)
    rehearse = commands.add_parser("rehearse", help="run the box without hardware, by a script, and keep its pictures")
    rehearse.add_argument("--out", type=Path, metavar="DIR", help="where the pictures go (rehearsal)")
    rehearse.add_argument("--script", type=Path, metavar="FILE", help="a script of your own")
    rehearse.add_argument("--json", action="store_true", help="print each change as a line of JSON")
    _settings(rehearse)
    rehearse.set_defaults(command=_rehearse)
    check = commands.add_parser("check", help="what this machine is and can do, and whether the settings are right")
    _settings(check)
    check.add_argument("--json", action="store_true", help="as JSON")
    check.set_defaults(command=_check)


def _telling(commands: "argparse._SubParsersAction[_Parser]") -> None:
    patterns = commands.add_parser("patterns", help="list the catalogue")
    patterns.add_argument("--json", action="store_true", help="as JSON")
    patterns.set_defaults(command=_patterns)
    formats = commands.add_parser("formats", help="list the scanning formats")
    formats.add_argument("--json", action="store_true", help="as JSON")
    formats.set_defaults(command=_formats)
    flash = commands.add_parser("flash", help="count flashes and stripes of all that is shown, by keys and by itself")
    flash.add_argument("--json", action="store_true", help="as JSON")
    _format(flash, default=None)
    flash.set_defaults(command=_flash)


def _soaking(commands: "argparse._SubParsersAction[_Parser]") -> None:
    soak = commands.add_parser("soak", help="what a soak would show, when, and what it asks of the tube")
    soak.add_argument("name", metavar="NAME", help="a soak, or a file that ends in .yaml")
    soak.add_argument("--plan", action="store_true", help="print its plan; it is started on the box")
    soak.add_argument("--json", action="store_true", help="as JSON")
    soak.set_defaults(command=_soak)
    soaks = commands.add_parser("soaks", help="list the soaks that were kept")
    soaks.add_argument("--json", action="store_true", help="as JSON")
    soaks.set_defaults(command=_soaks)
    report = commands.add_parser("report", help="the sheet of a soak that was kept, as one page")
    report.add_argument("soak", metavar="SOAK", help="its number, its name for the latest of that, or last")
    report.add_argument("-o", "--out", type=Path, metavar="FILE", help="the file for the page")
    report.add_argument("--json", action="store_true", help="as JSON; without -o to standard output")
    report.set_defaults(command=_report)
    for command in (soaks, report):
        command.add_argument("--state", type=Path, metavar="DIR", help="the folder that holds the records")


def _drawing(commands: "argparse._SubParsersAction[_Parser]") -> None:
    draw = commands.add_parser("draw", help="draw pictures into files")
    draw.add_argument("pattern", nargs="?", metavar="PATTERN[:VARIANT]")
    draw.add_argument("--all", dest="every", action="store_true", help="every pattern in every variant")
    _format(draw, default="240p")
    draw.add_argument("--field", type=_count, default=0, metavar="N", help="which field of a moving picture (0)")
    draw.add_argument("--raw", action="store_true", help="little-endian uint32 words instead of PNG")
    draw.add_argument("-o", "--out", type=Path, required=True, metavar="FILE", help="the file; the folder with --all")
    draw.set_defaults(command=_draw)


def _visiting(commands: "argparse._SubParsersAction[_Parser]") -> None:
    visits = commands.add_parser("visits", help="list the visits that were kept, name or delete one")
    either = visits.add_mutually_exclusive_group()
    either.add_argument("--json", action="store_true", help="as JSON")
    either.add_argument(
        "--name", nargs=2, metavar=("VISIT", "NAME"), help="say what its set is called; an empty name takes it away"
    )
    either.add_argument("--delete", metavar="VISIT", help="delete one, after its number was typed again")
    visits.set_defaults(command=_visits)
    sheet = commands.add_parser("sheet", help="the sheet of a visit, as one page")
    sheet.add_argument("visit", metavar="VISIT", help="its number, or last")
    sheet.add_argument("-o", "--out", type=Path, required=True, metavar="FILE", help="the file for the page")
    sheet.set_defaults(command=_sheet)
    tally = commands.add_parser("tally", help="the short form of a visit, as its codes on the screen carry it")
    tally.add_argument("visit", metavar="VISIT", help="its number, or last")
    tally.set_defaults(command=_tally)
    compare = commands.add_parser("compare", help="visits side by side, like with like")
    compare.add_argument("visits", nargs="+", metavar="VISIT", help="two to six of them")
    compare.set_defaults(command=_compare)
    export = commands.add_parser("export", help="visits as CSV or JSON")
    export.add_argument("visits", nargs="*", metavar="VISIT", help="which (all)")
    export.add_argument("-o", "--out", type=Path, metavar="FILE", help="the file, instead of standard output")
    export.add_argument("--json", action="store_true", help="as JSON instead of CSV")
    export.set_defaults(command=_export)
    for command in (visits, sheet, tally, compare, export):
        command.add_argument("--state", type=Path, metavar="DIR", help="the folder that holds the records")
    card = commands.add_parser("card", help="a pocket card of keys, lamps and a route, to be printed")
    card.add_argument("-o", "--out", type=Path, required=True, metavar="FILE", help="the file for the page")
    card.add_argument("--route", default="viewing", metavar="NAME", help="which route (viewing)")
    _settings(card)
    card.set_defaults(command=_card)


def _installing(commands: "argparse._SubParsersAction[_Parser]") -> None:
    install = commands.add_parser("install", help="put composite into a Raspberry Pi's boot files")
    install.add_argument("--board", default="auto", metavar="B", help="auto, zero, zero2, 3, 4 or 5 (auto)")
    install.add_argument("--system", metavar="S", help=f"at start: {', '.join(TV_MODES)}")
    install.set_defaults(command=_install)
    uninstall = commands.add_parser("uninstall", help="take it out again, to the last byte")
    uninstall.set_defaults(command=_uninstall)
    for command in (install, uninstall):
        command.add_argument("--root", type=Path, default=Path("/"), metavar="DIR", help="another root than /")
        command.add_argument("--dry-run", action="store_true", help="show what would change, and write nothing")


def _settings(command: argparse.ArgumentParser) -> None:
    command.add_argument("--settings", type=Path, metavar="F", help="a settings file instead of the box's own")


def _format(command: argparse.ArgumentParser, default: str | None) -> None:
    command.add_argument("--format", default=default, metavar="F", help=f"one of {', '.join(FORMATS)}")


def _seconds(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0 < value < 10**9:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number of seconds above 0")
    return value


def _count(text: str) -> int:
    if not text.isascii() or not text.isdigit():
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number from 0 on")
    return int(text)


def _run(options: argparse.Namespace) -> int:
    from appliance.commands import run

    early = getattr(options, "early", None)
    return run.run(options.screen, options.settings, options.format, options.seconds, early)


def _rehearse(options: argparse.Namespace) -> int:
    from appliance.commands import rehearse

    return rehearse.run(options.out, options.script, options.settings, json=options.json)


def _check(options: argparse.Namespace) -> int:
    from appliance.commands import check

    return check.run(options.settings, json=options.json)


def _patterns(options: argparse.Namespace) -> int:
    from appliance.commands import patterns

    return patterns.run(options.json)


def _formats(options: argparse.Namespace) -> int:
    from appliance.commands import formats

    return formats.run(options.json)


def _flash(options: argparse.Namespace) -> int:
    from appliance.commands import flash

    return flash.run(options.json, options.format)


def _soak(options: argparse.Namespace) -> int:
    from appliance.commands import soak

    return soak.run(options.name, plan=options.plan, json=options.json)


def _soaks(options: argparse.Namespace) -> int:
    from appliance.commands import soaks

    return soaks.run(options.state, json=options.json)


def _report(options: argparse.Namespace) -> int:
    from appliance.commands import report

    return report.run(options.soak, options.out, options.state, json=options.json)


def _draw(options: argparse.Namespace) -> int:
    from appliance.commands import draw

    if options.every == bool(options.pattern):
        raise Refused(f"draw {options.pattern or ''}: give either a pattern or --all")
    return draw.run(options.pattern, options.every, options.format, options.field, options.out, options.raw)


def _visits(options: argparse.Namespace) -> int:
    from appliance.commands import visits

    if options.delete is not None:
        return visits.delete(options.state, options.delete, sys.stdin)
    if options.name is not None:
        return visits.name(options.state, *options.name)
    return visits.run(options.state, json=options.json)


def _sheet(options: argparse.Namespace) -> int:
    from appliance.commands import sheet

    return sheet.run(options.visit, options.out, options.state)


def _tally(options: argparse.Namespace) -> int:
    from appliance.commands import tally

    return tally.run(options.visit, options.state)


def _compare(options: argparse.Namespace) -> int:
    from appliance.commands import compare

    return compare.run(options.visits, options.state)


def _export(options: argparse.Namespace) -> int:
    from appliance.commands import export

    return export.run(options.visits, options.out, options.state, json=options.json)


def _card(options: argparse.Namespace) -> int:
    from appliance.commands import card

    return card.run(options.out, options.route, options.settings)


def _install(options: argparse.Namespace) -> int:
    from appliance.commands import install

    return install.run(options.board, options.system, options.root, dry_run=options.dry_run)


def _uninstall(options: argparse.Namespace) -> int:
    from appliance.commands import install

    return install.run_uninstall(options.root, dry_run=options.dry_run)
