"""``fieldmouse window`` as a person has it: a real window, real keys, and what is really seen in it."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from pathlib import Path
from time import monotonic
from typing import Any

import numpy
import pytest
from PIL import Image

from appliance.cli import main
from appliance.patterns.catalogue import catalogue
from appliance.service.first_light import settings_mark, write_kept
from appliance.video.formats import FORMATS, find_mode
from tests.hardware.screens.desktop import MISSING, PATIENCE, Desktop, until

pytestmark = pytest.mark.skipif(bool(MISSING), reason=f"not installed: {', '.join(MISSING)}")


@pytest.fixture
def desktop(tmp_path: Path) -> Iterator[Desktop]:
    """A desktop, and settings under which captions go after a second."""
    (tmp_path / "settings.yaml").write_text("caption:\n  seconds: 1\n")
    with Desktop(tmp_path) as made:
        yield made


class Window:
    """The box in its window."""

    def __init__(self, desktop: Desktop, *words: str) -> None:
        self.desktop, self.words = desktop, words
        self.process = desktop.start("window", "--settings", str(desktop.folder / "settings.yaml"), *words)
        self.id = desktop.do("search", "--sync", "--onlyvisible", "--class", ".").split()[0]
        desktop.do("windowfocus", "--sync", self.id)
        lines = desktop.do("getwindowgeometry", "--shell", self.id).splitlines()
        place = {name: int(text) for name, _, text in (line.partition("=") for line in lines)}
        self.rows = slice(place["Y"], place["Y"] + place["HEIGHT"])
        self.columns = slice(place["X"], place["X"] + place["WIDTH"])

    def press(self, *keys: str) -> None:
        """Press keys of the keyboard, no faster than a hand does."""
        self.desktop.do("key", "--delay", "80", *keys)

    def seen(self) -> Any:
        """The picture in the window now."""
        return self.desktop.seen()[self.rows, self.columns].astype(int)

    def expected(self, pattern: str) -> Any:
        """The picture as ``draw`` makes it, stretched by another library: whole lines where they go evenly."""
        out = self.desktop.folder / "drawn.png"
        assert main(["draw", pattern, *self.words, "-o", str(out)]) == 0
        height, width = self.rows.stop - self.rows.start, self.columns.stop - self.columns.start
        with Image.open(out) as image:
            tall = image.convert("RGB")
            if height % tall.height == 0:
                tall = tall.resize((tall.width, height), Image.Resampling.NEAREST)
            return numpy.asarray(tall.resize((width, height), Image.Resampling.BILINEAR)).astype(int)

    def await_picture(self, pattern: str) -> None:
        """Wait until the window shows it and nothing else: no words over it, each pixel within what scalers differ."""
        wanted = self.expected(pattern)

        def shown() -> bool:
            off = numpy.abs(self.seen() - wanted)
            return bool(off.mean() < 2 and numpy.percentile(off, 99) < 32)

        until(pattern, shown)

    def end(self, number: signal.Signals) -> tuple[int, str]:
        """Send a signal; exit code and what was said on the way."""
        self.process.send_signal(number)
        _, said = self.process.communicate(timeout=PATIENCE)
        return self.process.returncode, said


@pytest.mark.parametrize(
    ("words", "number"), [((), signal.SIGTERM), (("--format", "576i"), signal.SIGINT)], ids=["240p", "576i"]
)
def test_keys_lead_through_the_catalogue(desktop: Desktop, words: tuple[str, ...], number: signal.Signals) -> None:
    """Right, left and v, each followed by the very picture that ``draw`` makes; a signal ends it well."""
    window = Window(desktop, *words)
    window.await_picture("crosshatch")
    window.press("v", "v")
    window.await_picture(f"crosshatch:{catalogue()['crosshatch'].variants[2]}")
    window.press("Right")
    window.await_picture("moving-crosshatch:across")
    window.press("v")
    window.await_picture("moving-crosshatch:down")
    window.press("Left")
    window.await_picture("crosshatch")
    code, said = window.end(number)
    assert code == 0
    assert "Traceback" not in said


def test_the_white_stress_by_keyboard(desktop: Desktop) -> None:
    """Return shows the caution on black, Return again full white with its count; any key is black at once."""
    mark = settings_mark(str(desktop.folder / "settings.yaml"))
    facts = {"settings": mark, "format": "240p", "system": "NTSC", "pattern": "white", "variant": "100"}
    (desktop.folder / "state").mkdir(exist_ok=True)
    write_kept(str(desktop.folder / "state"), facts, find_mode(FORMATS["240p"], "NTSC"), bytes(4 * 720 * 240))
    window = Window(desktop)
    window.await_picture("white")
    window.press("Return")
    until("the caution", lambda: 0.01 < (window.seen() > 128).mean() < 0.3)
    read = monotonic() + 1  # a caution just put up cannot be passed yet
    until("the caution read", lambda: bool(window.seen().any()) and monotonic() > read)
    window.press("Return")
    until("full white", lambda: bool((window.seen() > 250).mean() > 0.95))
    assert (window.seen() < 200).any(), "the seconds left stand in a corner"
    window.press("n")
    until("black", lambda: not window.seen().any())
