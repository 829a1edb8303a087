"""A desktop for a real window: Xvfb, whose screen is a file that can be read, and xdotool to press keys."""

from __future__ import annotations

import os
import shutil
import struct
import subprocess
import time
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import numpy

TOOLS = {"Xvfb": "xvfb", "xdotool": "xdotool"}


def missing() -> list[str]:
    """What the host lacks, each with the Debian package that has it."""
    return [f"{tool} (Debian: {package})" for tool, package in TOOLS.items() if shutil.which(tool) is None]


class Desktop:
    """An X server of its own, without a screen; ``environment`` is for the programs that are to show there."""

    def __init__(self, folder: Path, width: int = 1280, height: int = 1024) -> None:
        self._file, self._size = folder / "Xvfb_screen0", f"{width}x{height}x24"
        self._folder = folder

    def __enter__(self) -> Self:
        reading, writing = os.pipe()
        command = ["Xvfb", "-displayfd", str(writing), "-screen", "0", self._size, "-fbdir", str(self._folder)]
        command += ["-nolisten", "tcp", "-noreset"]
        self._server = subprocess.Popen(command, pass_fds=[writing], stderr=subprocess.DEVNULL)
        os.close(writing)
        with os.fdopen(reading) as number:
            self.display = f":{int(number.readline())}"
        self.environment = {**os.environ, "DISPLAY": self.display, "SDL_VIDEODRIVER": "x11"}
        return self

    def __exit__(self, *_: type[BaseException] | BaseException | TracebackType | None) -> None:
        self._server.terminate()
        self._server.wait(10)

    def xdotool(self, *words: str) -> str:
        """Run xdotool; what it printed."""
        done = subprocess.run(["xdotool", *words], env=self.environment, check=True, capture_output=True, text=True)
        return done.stdout.strip()

    def find_window(self, kind: str = "fieldmouse", seconds: float = 30) -> str:
        """Wait for the visible window of that X class; its number."""
        command, end = ["xdotool", "search", "--onlyvisible", "--class", kind], time.monotonic() + seconds
        while True:
            found = subprocess.run(command, env=self.environment, check=False, capture_output=True, text=True).stdout
            if found:
                return found.splitlines()[0]
            assert time.monotonic() < end, f"no window of class {kind} within {seconds} s"
            time.sleep(0.05)

    def focus(self, window: str) -> None:
        """Give the window the keyboard (there is no window manager that would)."""
        self.xdotool("windowfocus", "--sync", window)

    def press(self, *keys: str) -> None:
        """Press and release keys by their X names, as a keyboard would: ``Right``, ``Return``, ``v``, ``KP_5``."""
        for key in keys:
            self.xdotool("key", key)

    def geometry(self, window: str) -> tuple[int, int, int, int]:
        """Left, top, width, height of a window."""
        words = dict(line.split("=") for line in self.xdotool("getwindowgeometry", "--shell", window).splitlines())
        return int(words["X"]), int(words["Y"]), int(words["WIDTH"]), int(words["HEIGHT"])

    def screenshot(self, window: str) -> Any:
        """What the window shows: ``uint32[lines, samples]``, XRGB."""
        left, top, width, height = self.geometry(window)
        return self._screen()[top : top + height, left : left + width]

    def _screen(self) -> Any:
        """The whole screen out of the server's file, an X window dump (X11/XWDFile.h): 25 words, a name, colours."""
        data = self._file.read_bytes()
        head = struct.unpack(">25I", data[:100])
        header, (width, height), pitch, colours = head[0], head[4:6], head[12], head[19]
        start = header + 12 * colours
        order = ">u4" if head[7] else "<u4"
        rows = numpy.frombuffer(data, order, count=height * pitch // 4, offset=start).reshape(height, pitch // 4)
        return rows[:, :width].astype("u4") & 0xFFFFFF

    def wait_until(self, what: str, true: Any, seconds: float = 10) -> None:
        """Look again and again until ``true()``; the program looked at is another process with a clock of its own."""
        end = time.monotonic() + seconds
        while not true():
            assert time.monotonic() < end, f"waited {seconds} s for {what}"
            time.sleep(0.02)
