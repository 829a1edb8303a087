"""What changed, side by side for the eye: before, after, and eight times the difference, each at 4:3."""

import subprocess
import sys
import tarfile
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from appliance.commands.draw import file_stem
from appliance.drawing.tube import as_on_tube
from appliance.patterns.picture import Frame
from appliance.video.formats import FORMATS, Format
from tests.golden import Gold, Shown, digest

ROOT = Path(__file__).parents[2]

DRAW = """
import sys
from appliance.patterns.catalogue import find_pattern
from appliance.video.formats import FORMATS
for number, line in enumerate(sys.stdin):
    name, form, field = line.split()
    try:
        entry, variant = find_pattern(name)
    except Exception:
        continue
    fmt = FORMATS[form]
    frame = entry.draw(fmt, variant).field(int(field), fmt.lines, fmt.samples)
    open(f"{number}.raw", "wb").write(frame.astype("<u4").tobytes())
"""
"""Run within an older checkout: it draws what is named on standard input."""


def show_changes(changed: list[Shown], gold: Gold, since: str, folder: Path) -> None:
    """Write one PNG for each; tells of those whose earlier picture commit ``since`` does not draw as accepted."""
    if not changed:
        return
    folder.mkdir(parents=True, exist_ok=True)
    for one, before in zip(changed, _drawn_before([one.name for one in changed], since), strict=True):
        key, form, field = one.name.split()
        path = folder / f"{file_stem(*key.split(':', 1))}-{form}-{field}.png"
        kept = before if before is not None and gold.get(one.name, "").startswith(digest(before)) else None
        if kept is None:
            print(f"{one.name}: no earlier picture to be had from {since}; {path.name} shows the new one alone")
        side_by_side(FORMATS[form], kept, one.frame).save(path)
    print(f"before, after and eight times the difference are in {folder}")


def side_by_side(fmt: Format, before: Frame | None, after: Frame) -> Image.Image:
    """Before, after, difference; ``after`` alone when there was none before."""
    new = as_on_tube(after, fmt)
    if before is None:
        return Image.fromarray(new)
    old = as_on_tube(before, fmt)
    apart: NDArray[np.uint8] = np.minimum(np.abs(new.astype(int) - old) * 8, 255).astype(np.uint8)
    return Image.fromarray(np.hstack([old, new, apart]))


def _drawn_before(names: list[str], since: str) -> list[Frame | None]:
    """What commit ``since`` draws of each, None where it does not."""
    packed = subprocess.run(["git", "archive", since, "appliance"], cwd=ROOT, capture_output=True, check=False)
    if packed.returncode:
        return [None] * len(names)
    with TemporaryDirectory() as place:
        with tarfile.open(fileobj=BytesIO(packed.stdout)) as archive:
            archive.extractall(place, filter="data")
        subprocess.run([sys.executable, "-c", DRAW], cwd=place, input="\n".join(names), text=True, check=False)
        return [_raw(Path(place) / f"{number}.raw", FORMATS[name.split()[1]]) for number, name in enumerate(names)]


def _raw(path: Path, fmt: Format) -> Frame | None:
    return np.fromfile(path, "<u4").reshape(fmt.lines, fmt.samples) if path.exists() else None
