"""``fieldmouse draw``: pictures into files, without a screen."""

import os
import shutil
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from appliance.commands.output import unwritable, write_whole
from appliance.drawing.tube import as_on_tube, channels
from appliance.errors import Refused
from appliance.patterns.catalogue import Pattern, catalogue, find_pattern
from appliance.patterns.picture import Frame
from appliance.video.formats import FORMATS, Format, find_format

THUMBNAIL = (240, 180)
LABEL_HEIGHT = 22
COLUMNS = 8
MARGIN = 10
SHEET = "contact-sheet.png"


def run(pattern: str | None, every: bool, format: str, field: int, out: Path, raw: bool) -> int:  # noqa: A002 - the command line's words
    """Write one picture to the file ``out``, or ``every`` picture and a contact sheet into the directory ``out``.

    Raises :class:`Refused` for an unknown pattern, variant or format, a field below 0, a place that cannot be
    written; nothing half-written is left.
    """
    fmt = find_format(format)
    if every == (pattern is not None):
        raise Refused("draw: give one pattern, or --all for every one")
    if field < 0:
        raise Refused(f"field {field}: fields count from 0")
    write = save_raw if raw else save_png
    if pattern is None:
        return _draw_every(fmt, field, out, write, ".raw" if raw else ".png")
    write(_frame(*find_pattern(pattern), fmt, field), out)
    return 0


def _frame(entry: Pattern, variant: str, fmt: Format, field: int) -> Frame:
    return entry.draw(fmt, variant).field(field, fmt.lines, fmt.samples)


def _draw_every(fmt: Format, field: int, out: Path, write: Callable[[Frame, Path], None], suffix: str) -> int:
    with_label = []
    with _Beside(out) as place:
        for entry in catalogue().values():
            for variant in entry.variants:
                frame = _frame(entry, variant, fmt, field)
                write(frame, place / (file_stem(entry.key, variant) + suffix))
                with_label.append((f"{entry.key}  {variant}", frame, fmt))
        contact_sheet(with_label, place / SHEET)
    sys.stdout.write(f"{len(with_label)} pictures and {SHEET} in {out}\n")
    return 0


def file_stem(key: str, variant: str) -> str:
    """The name of a picture's file less its suffix."""
    # Neither a slash nor a colon: many a file system takes neither in a name.
    return f"{key}-{variant.replace('/', '-').replace(':', '-')}"


class _Beside:
    """A directory within ``out``, or beside it while it is not there; its files move on only when all were written."""

    def __init__(self, out: Path) -> None:
        self.out = out

    def __enter__(self) -> Path:
        try:
            if self.out.exists() and not self.out.is_dir():
                raise Refused(f"{self.out}: is no directory; --all needs one")
            home = self.out if self.out.is_dir() else self.out.absolute().parent
            self.place = Path(mkdtemp(prefix=".part-", dir=home))
        except OSError as trouble:
            raise unwritable(self.out, trouble) from None
        return self.place

    def __exit__(self, kind: object, *_: object) -> None:
        try:
            if kind is None:
                self.out.mkdir(exist_ok=True)
                for path in sorted(self.place.iterdir()):
                    path.replace(self.out / path.name)
        except OSError as trouble:
            raise unwritable(self.out, trouble) from None
        finally:
            shutil.rmtree(self.place, ignore_errors=True)


def save_raw(frame: Frame, path: Path) -> None:
    """Write the frame's words, little-endian, row after row; raises :class:`Refused` when it cannot be written."""
    write_whole(path, lambda file: file.write(frame.astype("<u4").tobytes()))


def save_png(frame: Frame, path: Path, corrected: bool = False) -> None:
    """Write a PNG of exactly the frame's samples × lines, or ``corrected`` to the 4:3 picture of the tube.

    Raises :class:`Refused` when it cannot be written, and when a frame to be corrected is of no format's size.
    """
    pygame = _pygame()
    surface = _surface(as_on_tube(frame, format_of(frame)) if corrected else channels(frame))
    write_whole(path, lambda file: pygame.image.save(surface, file, "picture.png"))


def format_of(frame: Frame) -> Format:
    """The format whose lines and samples ``frame`` has; raises :class:`Refused` when there is none."""
    for fmt in FORMATS.values():
        if frame.shape == (fmt.lines, fmt.samples):
            return fmt
    raise Refused(f"a frame of {frame.shape[1]} × {frame.shape[0]}: no format has that size")


def contact_sheet(items: list[tuple[str, Frame, Format]], path: Path) -> None:
    """Write one PNG of all ``items`` as small 4:3 pictures, each over its label; raises :class:`Refused`."""
    pygame = _pygame()
    pygame.font.init()
    font = pygame.font.Font(None, 20)
    columns, rows = min(COLUMNS, len(items)), -(-len(items) // COLUMNS)
    sheet = pygame.Surface((columns * (THUMBNAIL[0] + MARGIN) + MARGIN, rows * _pitch() + MARGIN))
    sheet.fill((48, 48, 48))
    for (label, frame, fmt), place in zip(items, _places(), strict=False):
        sheet.blit(pygame.transform.smoothscale(_surface(as_on_tube(frame, fmt)), THUMBNAIL), place)
        sheet.blit(font.render(label, True, (230, 230, 230)), (place[0], place[1] + THUMBNAIL[1] + 4))
    write_whole(path, lambda file: pygame.image.save(sheet, file, "sheet.png"))


def _pitch() -> int:
    return THUMBNAIL[1] + LABEL_HEIGHT + MARGIN


def _places() -> Iterator[tuple[int, int]]:
    row = 0
    while True:
        yield from ((MARGIN + c * (THUMBNAIL[0] + MARGIN), MARGIN + row * _pitch()) for c in range(COLUMNS))
        row += 1


def _surface(planes: Any) -> Any:
    height, width = planes.shape[:2]
    return _pygame().image.frombuffer(planes.tobytes(), (width, height), "RGB")


def _pygame() -> Any:
    """pygame, imported only when a picture is to be written, and without its greeting."""
    os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
    import pygame

    return pygame
