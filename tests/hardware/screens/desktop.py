"""A desktop for one test: an X server that shows on nothing, its picture read from the file it draws into."""

from __future__ import annotations

import os
import shutil
import struct
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy

MISSING = [name for name in ("Xvfb", "xdotool") if shutil.which(name) is None]
PATIENCE = 30
"""Seconds for anything that a program is waited for."""


class Desktop:
    """Xvfb with one screen of 1280 × 1024; leave it to end everything started on it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        reader, writer = os.pipe()
        # -noreset: else each xdotool that leaves as the last client starts the server anew under the next.
        words = ["Xvfb", "-displayfd", str(writer), "-screen", "0", "1280x1024x24", "-fbdir", str(folder), "-noreset"]
        self._server = subprocess.Popen(words, pass_fds=[writer], stderr=subprocess.DEVNULL)
        os.close(writer)
        with os.fdopen(reader) as told:
            self.display = f":{told.readline().strip()}"  # comes when it is ready, or empty when it ends
        bare = {name: text for name, text in os.environ.items() if name not in ("WAYLAND_DISPLAY", "SDL_VIDEODRIVER")}
        self.environ = {**bare, "DISPLAY": self.display, "STATE_DIRECTORY": str(folder / "state")}
        self._started: list[subprocess.Popen[str]] = []

    def __enter__(self) -> Desktop:
        return self

    def __exit__(self, *_: object) -> None:
        for process in self._started:
            process.terminate()
            process.communicate(timeout=PATIENCE)
        self._server.terminate()
        self._server.wait(PATIENCE)

    def start(self, *words: str) -> subprocess.Popen[str]:
        """Start the command line with these words."""
        command = [sys.executable, "-m", "appliance", *words]
        process = subprocess.Popen(command, env=self.environ, stderr=subprocess.PIPE, text=True)
        self._started.append(process)
        return process

    def do(self, *words: str) -> str:
        """Have xdotool do something; what it prints."""
        done = subprocess.run(
            ["xdotool", *words], env=self.environ, timeout=PATIENCE, check=True, stdout=subprocess.PIPE, text=True
        )
        return done.stdout

    def seen(self) -> Any:
        """What the screen shows now: ``uint8[lines, pixels, 3]``, red, green, blue.

        The file is one of xwd: a head of 25 words of 32 bits, most significant byte first, among them its own size,
        the width and height, the bytes of a line and the number of colours, 12 bytes each, that follow it
        (X11/XWDFile.h); then the pixels, 4 bytes each.
        """
        data = (self.folder / "Xvfb_screen0").read_bytes()
        head = struct.unpack(">25I", data[:100])
        size, width, height, order, bits, stride, colours = (head[n] for n in (0, 4, 5, 7, 11, 12, 19))
        assert (bits, order) == (32, 0), "four bytes a pixel, the lowest first"
        start = size + 12 * colours
        pixels = numpy.frombuffer(data, numpy.uint8, stride * height, start).reshape(height, stride)
        return pixels[:, : 4 * width].reshape(height, width, 4)[..., 2::-1]


def until(what: str, good: Callable[[], bool], tries: int = 400) -> None:
    """Look again and again; an assertion fails when ``good`` never was."""
    assert any(good() for _ in range(tries)), f"{what}: not within {tries} looks"
