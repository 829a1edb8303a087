"""Every pattern in every format, put up by the screen and read back from what is scanned out. Run in the machine::

    python3 -m tests.machine.read_back [all]

The card must be free. Each pattern's first variant, or with ``all`` every variant, at its first field. Prints one JSON
list a picture: its name, what became of it since it was accepted as gold ("" for nothing), and whether what is
scanned out equals what was drawn, bit for bit.
"""

import json
import sys
import time
from collections.abc import Iterator
from typing import Any

import numpy as np

from appliance.hardware.screens.kms import KmsScreen
from appliance.patterns.catalogue import catalogue
from appliance.patterns.picture import Frame, Picture
from appliance.video.formats import FORMATS, Format, find_mode
from tests.golden import Shown, judge, read

sys.path.append("/usr/lib/machine-helper")


def titles(*, every: bool) -> Iterator[tuple[Format, str, str]]:
    """Format, pattern and variant of each picture."""
    for fmt in FORMATS.values():
        for key, entry in catalogue().items():
            for variant in entry.variants if every else entry.variants[:1]:
                yield fmt, key, variant


class Lead:
    """The screen with one picture on it at a time."""

    def __init__(self) -> None:
        self.screen = KmsScreen()
        self._up: tuple[Format, Any] | None = None

    def put_up(self, fmt: Format, picture: Picture) -> Frame:
        """Show the picture's first field, wait until it is up, and read back what the card scans out."""
        frame = picture.frames[picture.index(0)]
        surface, last = self.screen.surface(frame, frame.shape[1], frame.shape[0]), self._up
        if last and last[0] is fmt:
            self.screen.flip(surface, picture.at(0))
        else:
            self.screen.start(find_mode(fmt, fmt.systems[0]), surface, picture.at(0))
        while not self.screen.read(time.monotonic()):
            time.sleep(0.005)
        if last:
            self.screen.free(last[1])
        self._up = fmt, surface
        return seen(fmt)


def seen(fmt: Format) -> Frame:
    """What the card scans out, by the kernel's word."""
    from guest.scanout import look  # type: ignore[import-not-found] # the helper's, in the machine alone

    return np.frombuffer(look()[1], "<u4").reshape(fmt.lines, fmt.samples).astype(np.uint32)


def main() -> None:
    """All of them, one line each."""
    gold, lead = read(), Lead()
    for fmt, key, variant in titles(every="all" in sys.argv):
        picture = catalogue()[key].draw(fmt, variant)
        found = lead.put_up(fmt, picture)
        same = bool(np.array_equal(found, picture.field(0, fmt.lines, fmt.samples)))
        name = f"{key}:{variant} {fmt.name} 0"
        print(json.dumps([name, judge(gold, Shown(name, found)), same]), flush=True)
    lead.screen.close()


if __name__ == "__main__":
    main()
