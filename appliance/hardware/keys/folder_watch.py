"""Word of new files in a folder, by the kernel's inotify.

For input devices chosen over netlink uevents, since it needs no socket family that a locked-down service lacks, and
since it also tells when udev has given the new node its group, which is when it can be opened.
"""

import contextlib
import ctypes
import logging
import os
from pathlib import Path

log = logging.getLogger(__name__)

# linux/inotify.h
IN_ATTRIB, IN_MOVED_TO, IN_CREATE, IN_DELETE = 0x4, 0x80, 0x100, 0x200


class FolderWatch:
    """Readable when a file came, went or changed its rights in ``folder``, or the folder itself came."""

    def __init__(self, folder: Path) -> None:
        """Raises ``OSError`` when the kernel gives no watch (too many, or no inotify)."""
        self._folder = folder
        self._libc = ctypes.CDLL(None, use_errno=True)
        self.fd = self._checked(self._libc.inotify_init1(os.O_NONBLOCK | os.O_CLOEXEC))
        try:
            self._add(folder.parent, IN_CREATE)  # the folder goes with its last device, and comes back with the next
            self.clear()
        except OSError:
            self.close()
            raise

    def clear(self) -> None:
        """Forget what was told, and watch the folder if it is there now."""
        with contextlib.suppress(BlockingIOError):
            while os.read(self.fd, 65536):
                pass
        with contextlib.suppress(FileNotFoundError):
            self._add(self._folder, IN_CREATE | IN_DELETE | IN_ATTRIB | IN_MOVED_TO)

    def close(self) -> None:
        """Stop watching."""
        os.close(self.fd)

    def _add(self, folder: Path, mask: int) -> None:
        self._checked(self._libc.inotify_add_watch(self.fd, os.fsencode(folder), mask))

    def _checked(self, result: int) -> int:
        if result < 0:
            number = ctypes.get_errno()
            raise OSError(number, os.strerror(number), str(self._folder))
        return result
