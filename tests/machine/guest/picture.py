"""A picture put up by hand, to try the card itself: what it takes, how long its fields are, what is read back."""

import mmap
import os
import random
import struct
from contextlib import closing
from fcntl import ioctl
from typing import Any

from . import ioctls
from .ioctls import ADDFB, CREATE_DUMB, FLIP_EVENT, MAP_DUMB, OBJ_SETPROPERTY, OBJECT_CONNECTOR, PAGE_FLIP, SETCRTC


class Card:
    """The card, opened as its master."""

    def __init__(self) -> None:
        self.fd = os.open(ioctls.path(), os.O_RDWR | os.O_CLOEXEC)
        crtcs, connectors = ioctls.resources(self.fd)
        self.crtc, self.connector = crtcs[0], connectors[0]

    def close(self) -> None:
        """Let go of it: the picture goes."""
        os.close(self.fd)

    def framebuffer(self, width: int, height: int, seed: int) -> int:
        """A framebuffer filled with the noise of ``seed``: row by row, 4 bytes a sample, without padding."""
        made = ioctls.ask(self.fd, CREATE_DUMB, "6IQ", height, width, 32, 0, 0, 0, 0)
        handle, pitch, size = made[4:7]
        at = ioctls.ask(self.fd, MAP_DUMB, "IIQ", handle, 0, 0)[2]
        noise = random.Random(seed).randbytes(width * height * 4)  # noqa: S311  a picture, no secret
        with closing(mmap.mmap(self.fd, size, offset=at)) as memory:
            for row in range(height):
                memory[row * pitch : row * pitch + width * 4] = noise[row * width * 4 : (row + 1) * width * 4]
        return int(ioctls.ask(self.fd, ADDFB, "7I", 0, width, height, pitch, 32, 24, handle)[0])

    def tv_mode(self, name: str) -> None:
        """Set the connector's ``TV mode``; raises OSError when it does not go with what is up."""
        found = ioctls.properties(self.fd, self.connector)["TV mode"]
        value = next(v for v, n in found.names.items() if n == name)
        ioctls.ask(self.fd, OBJ_SETPROPERTY, "Q4I", value, found.number, self.connector, OBJECT_CONNECTOR, 0)

    def off(self) -> None:
        """Switch the CRTC off."""
        ioctl(self.fd, SETCRTC, struct.pack("Q7I68s", 0, 0, self.crtc, 0, 0, 0, 0, 0, b""))

    def show(self, modeline: list[int], fb: int, x: int = 0, y: int = 0) -> None:
        """Put ``fb`` up from sample ``x``, line ``y``; raises OSError when the encoder does not take the modeline."""
        data, address = ioctls.array(1)
        data[:] = struct.pack("I", self.connector)
        mode = ioctls.pack_mode(modeline)
        ioctl(self.fd, SETCRTC, struct.pack("Q7I68s", address, 1, self.crtc, fb, x, y, 0, 1, mode))

    def flip(self, fb: int) -> tuple[float, int]:
        """Put ``fb`` up at the next field and wait for it: its stamp in seconds and its sequence number."""
        ioctl(self.fd, PAGE_FLIP, struct.pack("4IQ", self.crtc, fb, FLIP_EVENT, 0, 0))
        _, _, _, seconds, micro, sequence, _ = struct.unpack("2IQ4I", os.read(self.fd, 1024)[:32])
        return seconds + micro / 1e6, sequence


_held: list[Card] = []


def try_modes(cases: list[tuple[list[int], str]]) -> list[int]:
    """For each modeline and ``TV mode``, asked for from the dark: 0, or the kernel's code of refusal."""
    card = Card()
    try:
        fb = card.framebuffer(2048, 640, 0)
        return [_try(card, fb, modeline, tv_mode) for modeline, tv_mode in cases]
    finally:
        card.close()


def _try(card: Card, fb: int, modeline: list[int], tv_mode: str) -> int:
    card.off()
    try:
        card.tv_mode(tv_mode)
        card.show(modeline, fb)
    except OSError as refusal:
        return refusal.errno or -1
    return 0


def flips(modeline: list[int], tv_mode: str, count: int) -> dict[str, Any]:
    """Flip between two framebuffers ``count`` times: stamps, sequence numbers and which framebuffer it was."""
    card = Card()
    try:
        fbs = [card.framebuffer(modeline[1], modeline[5], seed) for seed in (1, 2)]
        card.off()
        card.tv_mode(tv_mode)
        card.show(modeline, fbs[0])
        shown = [fbs[(n + 1) % 2] for n in range(count)]
        seen = [card.flip(fb) for fb in shown]
    finally:
        card.close()
    return {"stamps": [s for s, _ in seen], "sequences": [n for _, n in seen], "fbs": shown}


def hold(modeline: list[int], tv_mode: str, size: tuple[int, int], seed: int, at: tuple[int, int]) -> None:
    """Put the noise of ``seed`` up, a framebuffer of ``size`` seen from ``at``, and keep it there until let go."""
    card = Card()
    _held.append(card)
    fb = card.framebuffer(*size, seed)
    card.off()
    card.tv_mode(tv_mode)
    card.show(modeline, fb, *at)


def change_tv_mode(tv_mode: str) -> int:
    """Change ``TV mode`` under the picture held: 0, or the kernel's code of refusal."""
    try:
        _held[-1].tv_mode(tv_mode)
    except OSError as refusal:
        return refusal.errno or -1
    return 0


def let_go() -> None:
    """Take every picture held down."""
    while _held:
        _held.pop().close()
