"""The pictures that the README shows, drawn from the code: ``python -m tests.golden --pictures``."""

from pathlib import Path

import numpy as np
from PIL import Image

from appliance import lettering
from appliance.commands.draw import contact_sheet
from appliance.drawing.tube import as_on_tube
from appliance.patterns.catalogue import catalogue, find_pattern
from appliance.patterns.picture import Frame
from appliance.video.formats import FORMATS, Format

FOLDER = Path(__file__).parents[2] / "hardware_notes" / "pictures"
WIDTH = 320
SHEET_FORMAT = FORMATS["240p"]
COLOURS = 256
"""Colours a contact sheet is kept in: enough for small pictures, and far fewer bytes."""


def _frame(name: str, fmt: Format) -> Frame:
    entry, variant = find_pattern(name)
    return entry.draw(fmt, variant).field(0, fmt.lines, fmt.samples)


def small(frame: Frame, fmt: Format) -> Image.Image:
    """At 4:3, as wide as a third of a page."""
    tube = Image.fromarray(as_on_tube(frame, fmt))
    return tube.resize((WIDTH, WIDTH * 3 // 4), Image.Resampling.LANCZOS)


def write_pictures() -> None:
    """The contact sheet of the usual variants, and three small pictures."""
    FOLDER.mkdir(exist_ok=True)
    fmt = SHEET_FORMAT
    counting = lettering.count(_frame("white:100", fmt), fmt, "7", corner=3)
    for name, frame in (
        ("crosshatch", _frame("crosshatch", fmt)),
        ("white-stress", counting),
        ("bars", _frame("bars:75/0/75/0", fmt)),
    ):
        small(frame, fmt).save(FOLDER / f"{name}.png", optimize=True)
    path = FOLDER / "catalogue.png"
    contact_sheet([(key, _later(key, fmt), fmt) for key in catalogue()], path)
    with Image.open(path) as sheet:
        fewer = sheet.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    fewer.save(path, optimize=True)
    for written in sorted(FOLDER.glob("*.png")):
        print(f"{written}: {written.stat().st_size // 1000} kB")


def _later(key: str, fmt: Format) -> Frame:
    """The usual variant; of frames taken in turn the last, since the first is often black."""
    entry = catalogue()[key]
    picture = entry.draw(fmt, entry.variants[0])
    return np.ascontiguousarray(picture.frames[-1][: fmt.lines, : fmt.samples])
